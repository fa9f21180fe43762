// What every browser spec needs: a real server in a fresh folder, phones as separate Chromium profiles, axe, pictures.
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { createHash, X509Certificate } from 'node:crypto';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { connect } from 'node:tls';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const here = dirname(fileURLToPath(import.meta.url));
const binary = join(here, '..', '..', 'bin', 'witnessmark');
export const out = join(here, 'out');
mkdirSync(out, { recursive: true });
const axeSource = readFileSync(join(here, '..', 'node_modules', 'axe-core', 'axe.min.js'), 'utf8');

const browserFlags = [
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync',
];

export const phoneSize = { width: 390, height: 844 };
export const deskSize = { width: 1280, height: 800 };

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

/** For openPhone: a microphone that beeps and needs no permission. */
export const microphone = ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream'];

/** What any page did against its content policy, over all cases: the runner fails a case that adds to it (T56). */
export const againstPolicy = [];

/** A phone: its own browser profile that survives closing and opening again. */
export async function openPhone(origin, { size = phoneSize, profile, dark = false, userAgent, init, flags = [] } = {}) {
  const folder = profile ?? mkdtempSync(join(tmpdir(), 'witnessmark-phone-'));
  const context = await chromium.launchPersistentContext(folder, {
    executablePath: '/usr/bin/chromium', headless: true, args: [...browserFlags, ...flags], viewport: size,
    hasTouch: size.width < 600, colorScheme: dark ? 'dark' : 'light', locale: 'en-GB',
    ...(userAgent === undefined ? {} : { userAgent }),
  });
  // The process that keeps the store, looked for now: when it is to end it shall end at once.
  const processes = () => spawnSync('pgrep', ['-f', `user-data-dir=${folder}`], { encoding: 'utf8' }).stdout.split('\n').filter((n) => n !== '').map(Number);
  const first = processes().find((pid) => commandOf(pid) !== '' && !commandOf(pid).includes('--type='));
  if (init !== undefined) await context.addInitScript(init);
  context.setDefaultTimeout(30_000);
  const page = context.pages()[0] ?? (await context.newPage());
  const complaints = [];
  page.on('pageerror', (e) => complaints.push(`page error: ${e.stack}`));
  page.on('console', (m) => {
    if (m.type() !== 'error' || !/Content Security Policy|Trusted(HTML|Script)/i.test(m.text())) return;
    complaints.push(m.text());
    againstPolicy.push(m.text());
  });
  return {
    page, context, profile: folder, complaints, origin,
    offline: (off) => context.setOffline(off),
    close: () => context.close(),
    /** Ends the browser as a dying phone does: without a word. */
    kill: async () => {
      const gone = new Promise((resolve) => context.once('close', resolve));
      process.kill(first, 'SIGKILL');
      spawnSync('pkill', ['-KILL', '-f', `user-data-dir=${folder}`]); // the others, as far as they are still there
      await gone;
    },
    forget: async () => {
      await context.close();
      sweep(folder);
    },
  };
}

/** How a process was called; '' when it has gone. */
function commandOf(pid) {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8');
  } catch {
    return '';
  }
}

/** Removes a profile. A process of the browser may still write its last file: then it is removed when all is over. */
function sweep(folder) {
  const away = () => rmSync(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  try {
    away();
  } catch {
    process.once('exit', () => {
      try {
        away();
      } catch {
        // A folder in the temporary files that stays is no fault of the case.
      }
    });
  }
}

/** Fails when axe finds a WCAG 2.2 AA problem on the page as it stands. */
export async function accessible(page, where) {
  await page.evaluate(axeSource); // not as a script of the page, which its policy would refuse
  const found = await page.evaluate(() =>
    globalThis.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }),
  );
  const bad = found.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`);
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
