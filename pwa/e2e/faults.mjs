// A bad line between a phone and the office: it loses replies after the office has acted, cuts them, sends requests twice,
// answers in the office's place, and drops or doubles what the socket pushes.
import { createServer, request } from 'node:http';
import { connect } from 'node:net';

/** What can be done with a request; `plan(req)` picks one. */
const acts = {
  pass: (req, res, server) => onward(req, server, (reply) => {
    res.writeHead(reply.statusCode, reply.headers);
    reply.pipe(res);
  }, res),
  /** The office has acted, and its answer is lost. */
  lose: (req, res, server) => onward(req, server, (reply) => reply.resume().on('end', () => res.destroy()), res),
  /** Half of the answer, and then nothing more. */
  cut: (req, res, server) => onward(req, server, (reply) => whole(reply, (body) => {
    res.writeHead(reply.statusCode, reply.headers);
    res.write(body.subarray(0, body.length / 2), () => res.destroy());
  }), res),
  /** The request comes twice; the phone hears the second answer. */
  double: (req, res, server) => whole(req, (body) => send(req, server, body, (first) => first.resume().on('end', () => send(req, server, body, (reply) => {
    res.writeHead(reply.statusCode, reply.headers);
    reply.pipe(res);
  }, res)), res)),
  /** Another network's page in the office's place. */
  portal: (req, res) => res.writeHead(200, { 'content-type': 'text/html' }).end('<html><h1>Welcome to the station</h1></html>'),
  redirect: (req, res) => res.writeHead(302, { location: '/elsewhere', 'content-type': 'text/html' }).end(),
  empty: (req, res) => res.writeHead(200, { 'content-type': 'application/vnd.witnessmark.exchange+ndjson' }).end(),
};

const whole = (stream, done) => {
  const parts = [];
  stream.on('data', (d) => parts.push(d)).on('end', () => done(Buffer.concat(parts)));
};

function send(req, server, body, then, res) {
  const out = request(`${server.origin}${req.url}`, { method: req.method, headers: req.headers }, then);
  out.on('error', () => res.destroy());
  out.end(body);
}

function onward(req, server, then, res) {
  const out = request(`${server.origin}${req.url}`, { method: req.method, headers: req.headers }, then);
  out.on('error', () => res.destroy());
  req.pipe(out);
}

/** Splits what a server sends on a socket into the head and whole frames (RFC 6455, unmasked and short: ours carry no data). */
function frames(onHead, onFrame) {
  let rest = Buffer.alloc(0);
  let head = false;
  return (data) => {
    rest = Buffer.concat([rest, data]);
    if (!head) {
      const end = rest.indexOf('\r\n\r\n');
      if (end < 0) return;
      head = true;
      onHead(rest.subarray(0, end + 4));
      rest = rest.subarray(end + 4);
    }
    while (rest.length >= 2 && rest.length >= 2 + (rest[1] & 127)) {
      const size = 2 + (rest[1] & 127);
      onFrame(rest.subarray(0, size), (rest[0] & 15) === 1);
      rest = rest.subarray(size);
    }
  };
}

/** Opens a bad line. `line.plan` picks an act by request, `line.copies` how often a push arrives; `line.seen` counts. */
export async function badLine(server) {
  const line = { plan: () => 'pass', answer: undefined, copies: () => 1, seen: {} };
  const count = (what) => (line.seen[what] = (line.seen[what] ?? 0) + 1);
  const proxy = createServer((req, res) => {
    if (line.answer?.(req, res) === true) return;
    const act = line.plan(req);
    count(act);
    acts[act](req, res, server);
  });
  proxy.on('upgrade', (req, socket) => {
    const up = connect(server.port, '127.0.0.1', () => up.write(`${req.method} ${req.url} HTTP/1.1\r\n${req.rawHeaders.reduce((all, h, i) => all + h + (i % 2 === 0 ? ': ' : '\r\n'), '')}\r\n`));
    up.on('data', frames((h) => socket.write(h), (frame, push) => {
      const n = push ? line.copies() : 1;
      if (push) count(`push ${n}`);
      for (let i = 0; i < n; i++) socket.write(frame);
    }));
    socket.on('data', (d) => up.write(d));
    for (const [one, other] of [[up, socket], [socket, up]]) one.on('error', () => other.destroy()).on('close', () => other.destroy());
  });
  await new Promise((resolve) => proxy.listen(0, '127.0.0.1', resolve));
  line.origin = `http://127.0.0.1:${proxy.address().port}`;
  line.close = () => new Promise((resolve) => { proxy.close(resolve); proxy.closeAllConnections(); });
  return line;
}
