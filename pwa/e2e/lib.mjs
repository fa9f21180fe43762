// What every browser spec needs: a real server in a fresh folder, phones, axe, pictures.
import { execFileSync, spawn } from 'node:child_process';
import { createHash, X509Certificate } from 'node:crypto';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { connect } from 'node:tls';
import { fileURLToPath } from 'node:url';

export * from './phones.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const binary = join(here, '..', '..', 'bin', 'witnessmark');
export const out = join(here, 'out');
mkdirSync(out, { recursive: true });
const axeSource = readFileSync(join(here, '..', 'node_modules', 'axe-core', 'axe.min.js'), 'utf8');

const freePort = () =>
  new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const { port } = probe.address();
      probe.close(() => resolve(port));
    });
  });

let workshop;

/** The invented workshop as a folder, loaded once for all cases of a run: each works on a copy of its own. */
function loadedOnce() {
  if (workshop !== undefined) return workshop;
  workshop = mkdtempSync(join(tmpdir(), 'witnessmark-demo-'));
  process.once('exit', () => rmSync(workshop, { recursive: true, force: true }));
  execFileSync(binary, ['demo', '-load', workshop], { stdio: 'pipe' });
  return workshop;
}

/** Starts the real server on a fresh folder; `demo` loads the invented workshop first; `own` is the name of a workshop with a certificate of its own. */
export async function startServer({ demo = false, data, port: wanted, own } = {}) {
  const folder = data ?? mkdtempSync(join(tmpdir(), 'witnessmark-e2e-'));
  if (demo && data === undefined) cpSync(loadedOnce(), folder, { recursive: true });
  const port = wanted ?? (await freePort());
  const local = `http://127.0.0.1:${port}`;
  const more = own === undefined ? {} : await ownCertificate(own, folder, port);
  const child = spawn(binary, ['serve', '-data', folder, '-addr', `127.0.0.1:${port}`, ...(more.args ?? [])], { stdio: ['ignore', 'pipe', 'pipe'] });
  const log = [];
  child.stdout.on('data', (d) => log.push(String(d)));
  child.stderr.on('data', (d) => log.push(String(d)));
  const gone = new Promise((resolve) => child.once('exit', resolve));
  await answering(more.help ?? `${local}/healthz`, gone, log);
  return {
    origin: more.origin ?? local, help: more.help, key: own === undefined ? undefined : await keyOf(own, port, more.help), folder, port, log,
    /** A pairing code for a new phone, drawn beside the running server. */
    pair: (role) => JSON.parse(execFileSync(binary, ['pair', '-data', folder, '-role', role, '-json'], { encoding: 'utf8' })),
    async stop({ keep = false } = {}) {
      child.kill('SIGTERM');
      await gone;
      if (!keep) rmSync(folder, { recursive: true, force: true, maxRetries: 10, retryDelay: 100 });
    },
  };
}

/** Makes the certificate of a workshop and says how the server is started with it. */
async function ownCertificate(name, folder, port) {
  execFileSync(binary, ['tls', '-data', folder, '-name', name, '-ip', '127.0.0.1'], { stdio: 'pipe' });
  const help = `127.0.0.1:${await freePort()}`;
  return { args: ['-tls', '-help-addr', help], help: `http://${help}/`, origin: `https://${name}:${port}` };
}

/** The key of the certificate that the server shows, as Chromium names one to be trusted. Node's own verifier has believed it by the root that the help page gives. */
const keyOf = async (name, port, help) => {
  const root = new X509Certificate(Buffer.from(await (await fetch(`${help}workshop.crt`)).arrayBuffer()));
  return new Promise((resolve, reject) => {
    const socket = connect({ host: '127.0.0.1', port, servername: name, ca: root.toString() }, () => {
      const { publicKey } = new X509Certificate(socket.getPeerCertificate().raw);
      socket.destroy();
      resolve(createHash('sha256').update(publicKey.export({ type: 'spki', format: 'der' })).digest('base64'));
    });
    socket.once('error', reject);
  });
};

async function answering(url, gone, log) {
  let exited = false;
  void gone.then(() => (exited = true));
  for (;;) {
    if (exited) throw new Error(`server ended early:\n${log.join('')}`);
    try {
      const reply = await fetch(url);
      if (reply.ok) return;
    } catch {
      // Not listening yet: the next try is the wait.
    }
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** The rules that ask for colours. */
const ofColours = ['color-contrast', 'link-in-text-block'];

/**
 * Fails when axe finds a WCAG 2.2 AA problem on the page as it stands. Where every element stands as it stood when all rules
 * were asked, as in another light, only those of colours are asked again.
 */
export async function accessible(page, where) {
  if (!(await page.evaluate(() => 'axe' in globalThis))) await page.evaluate(axeSource); // not as a script of the page, which its policy would refuse
  const bad = await page.evaluate(async (colours) => {
    const { axe } = globalThis;
    const stands = JSON.stringify([innerWidth, innerHeight, document.documentElement.outerHTML, [...document.querySelectorAll('*')].map((e) => {
      const { x, y, width, height } = e.getBoundingClientRect();
      return [x, y, width, height, e.checkVisibility({ opacityProperty: true, visibilityProperty: true }), e.value, e.checked];
    })]);
    axe.asked ??= new Set();
    const rules = axe.asked.has(stands) ? colours : ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
    // What passed is neither described nor sent here: that took longer than the rules themselves.
    const { violations } = await axe.run(document, { runOnly: rules, resultTypes: ['violations'], selectors: false });
    axe.asked.add(stands);
    return violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`);
  }, ofColours);
  if (bad.length > 0) throw new Error(`axe on ${where}:\n${bad.join('\n')}`);
}

export const picture = (page, name) => page.screenshot({ path: join(out, `${name}.png`), fullPage: false });

/** Throws unless both are the same, with what stands around the first difference. */
export function equal(got, want, what) {
  const [a, b] = [JSON.stringify(got) ?? 'nothing', JSON.stringify(want) ?? 'nothing'];
  if (a === b) return;
  let i = 0;
  while (i < a.length && a[i] === b[i]) i++;
  const around = (t) => t.slice(Math.max(0, i - 80), i + 120);
  throw new Error(`${what}: got … ${around(a)} …, want … ${around(b)} …`);
}

export function truthy(got, what) {
  if (!got) throw new Error(what);
}
