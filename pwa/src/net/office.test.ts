import { createServer, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { Office } from './office';
import { Away, mediaType, NotOffice, readReply, Refused } from './wire';

const expectOurs = { server: 's', workspace: 'w', job: 'j' };
const head = { v: 1, server: 's', workspace: 'w', job: 'j', status: 'ok', stored: 0, held: 0, bad: [], heads: {}, cursor: { epoch: 'e', pos: 0, digest: '' }, more: false, count: 0, digest: '' };
const reply = (body: string, type = mediaType, status = 200) => new Response(body, { status, headers: { 'Content-Type': type } });

describe('a reply counts only when it is the office\'s (T17)', () => {
  it('reads a whole one', async () => {
    const page = await readReply(reply(`${JSON.stringify(head)}\n{"a":1}\n`), expectOurs);
    expect(page.lines).toEqual(['{"a":1}']);
  });
  it.each([
    ['a login page with status 200', () => reply('<html>welcome</html>', 'text/html'), NotOffice],
    ['another media type', () => reply(`${JSON.stringify(head)}\n`, 'application/json'), NotOffice],
    ['an empty body', () => reply(''), NotOffice],
    ['a cut body', () => reply(`${JSON.stringify(head)}\n{"a":`), Away],
    ['a body cut where a line ends', () => reply(`${JSON.stringify({ ...head, lines: 2 })}\n{"a":1}\n`), Away],
    ['another server', () => reply(`${JSON.stringify({ ...head, server: 'x' })}\n`), NotOffice],
    ['another workspace', () => reply(`${JSON.stringify({ ...head, workspace: 'x' })}\n`), NotOffice],
    ['a head that is none', () => reply('hello\n'), NotOffice],
    ['a gateway\'s error page', () => reply('bad gateway', 'text/plain', 502), NotOffice],
    ['the office saying no', () => reply('{"error":{"code":"invalid","says":"no"}}', 'application/json', 400), Refused],
  ])('%s', async (_, make, kind) => {
    await expect(readReply(make(), expectOurs)).rejects.toBeInstanceOf(kind);
  });
});

describe('the token', () => {
  it('is bought once, and anew when it is refused', async () => {
    const seen: string[] = [];
    let good = 't1';
    const office = new Office(async (path, init) => {
      seen.push(path);
      if (path === '/api/v1/token') return Response.json({ token: good });
      const auth = (init.headers as Record<string, string>)['Authorization'];
      return auth === `Bearer ${good}` ? Response.json({ ok: true }) : Response.json({ error: { code: 'unauthorized', says: 'no' } }, { status: 401 });
    });
    await office.json('/x', undefined);
    good = 't2';
    await office.json('/x', undefined);
    expect(seen.filter((p) => p === '/api/v1/token').length).toBe(2);
  });
  it('tells what this phone may do, which the lead may have changed', async () => {
    const office = new Office(async (path) => Response.json(path === '/api/v1/token' ? { token: 't', role: 'viewer' } : { ok: true }));
    const heard: string[] = [];
    office.heardRole = (role) => heard.push(role);
    await office.json('/x', undefined);
    expect(heard).toEqual(['viewer']);
  });
  it('a line that is cut is told from an office that says no', async () => {
    const office = new Office(() => Promise.reject(new TypeError('network')));
    await expect(office.json('/x', undefined)).rejects.toBeInstanceOf(Away);
  });
});

describe('a server that accepts and stays silent (T18)', () => {
  let server: Server;
  afterEach(() => {
    server.closeAllConnections();
    server.close();
  });

  /** A real server that does this with the first request for /x, and is well for every other; and a deadline that the test pulls. */
  async function silent(first: (w: ServerResponse) => void) {
    let asked = 0;
    const deadlines: [number, AbortController][] = [];
    let arrived!: () => void;
    const there = new Promise<void>((resolve) => (arrived = resolve));
    server = createServer((r, w) => {
      if (r.url === '/x' && ++asked === 1) {
        first(w);
        return arrived();
      }
      w.setHeader('Content-Type', 'application/json');
      w.end('{"token":"t"}');
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    const office = new Office((path, init) => fetch(origin + path, init), (ms) => {
      const c = new AbortController();
      deadlines.push([ms, c]);
      return c.signal;
    });
    return { office, there, deadlines, over: () => deadlines.at(-1)?.[1].abort() };
  }

  it.each([
    ['before it answers', () => undefined],
    ['in the middle of its answer', (w: ServerResponse) => void w.writeHead(200, { 'Content-Type': 'application/json' }).write('{"token":')],
  ])('%s: the deadline ends it, and the next try goes through', async (_, first) => {
    const { office, there, deadlines, over } = await silent(first);
    const waits = office.json('/x', undefined).then(() => 'answered', (e: unknown) => e);
    await there;
    over();
    expect(await waits).toBeInstanceOf(Error);
    expect(await office.json('/x', undefined)).toEqual({ token: 't' });
    expect(deadlines.map(([ms]) => ms)).toEqual([30_000, 30_000, 30_000]);
  });
});
