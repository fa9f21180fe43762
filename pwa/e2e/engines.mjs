// Two more browser engines behind one small face: Firefox by puppeteer-core, WebKitGTK by the standard WebDriver protocol,
// which is all that its driver speaks. Each has a profile that outlives the browser, and no network of its own: 'offline' is a
// server that does not answer.
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import puppeteer from 'puppeteer-core';

/** Waits until a condition in the page is true; rejects with what the page shows. */
async function until(look, page, what) {
  const ends = Date.now() + 120_000;
  for (;;) {
    if (await look()) return;
    if (Date.now() > ends) throw new Error(`waited for ${what}; the page shows: ${(await page.evaluate('document.body.innerText')).slice(0, 400)}`);
    await new Promise((r) => setTimeout(r, 100)); // the protocol has no event for it: the page is asked again
  }
}

/** What the cases do with a page, whatever the engine: expressions are evaluated in it. */
function face(page) {
  const is = (expression, what) => until(() => page.evaluate(`Boolean(${expression})`), page, what);
  const button = (words) => `[...document.querySelectorAll('button, a.button')].find((b) => b.textContent.includes(${JSON.stringify(words)}))`;
  return {
    ...page, is,
    text: () => page.evaluate('document.body.innerText'),
    async tap(words) {
      await is(button(words), `a button '${words}'`);
      await page.evaluate(`${button(words)}.click()`);
    },
    open: (hash) => page.evaluate(`location.hash = ${JSON.stringify(hash)}, 0`),
    async type(digits) {
      for (const d of digits) await page.evaluate(`[...document.querySelectorAll('.key')].find((k) => k.textContent.trim() === ${JSON.stringify(d)}).click()`);
    },
  };
}

export const firefoxPath = ['/usr/bin/firefox-esr', '/usr/bin/firefox'].find((p) => existsSync(p));

export async function firefox(profile = mkdtempSync(join(tmpdir(), 'witnessmark-firefox-'))) {
  const browser = await puppeteer.launch({ browser: 'firefox', executablePath: firefoxPath, headless: true, userDataDir: profile });
  const page = await browser.newPage();
  return face({
    profile,
    goto: (url) => page.goto(url),
    evaluate: (expression) => page.evaluate(expression),
    upload: async (selector, file) => (await page.$(selector)).uploadFile(file),
    kill: async () => {
      const child = browser.process();
      const gone = new Promise((r) => child.once('exit', r));
      child.kill('SIGKILL');
      await gone;
    },
    close: () => browser.close(),
    forget: async () => {
      await browser.close();
      rmSync(profile, { recursive: true, force: true });
    },
  });
}

const lib = '/usr/lib';
const miniBrowser = () => {
  for (const arch of existsSync(lib) ? readdirSync(lib) : []) {
    for (const version of ['4.1', '4.0']) {
      const path = join(lib, arch, `webkit2gtk-${version}`, 'MiniBrowser');
      if (existsSync(path)) return path;
    }
  }
  return undefined;
};
export const webkitPath = existsSync('/usr/bin/WebKitWebDriver') ? miniBrowser() : undefined;

const freePort = () => new Promise((resolve, reject) => {
  const probe = createServer();
  probe.once('error', reject);
  probe.listen(0, '127.0.0.1', () => {
    const { port } = probe.address();
    probe.close(() => resolve(port));
  });
});

/** A screen that nobody sees; resolves with its name when it is there. */
function display() {
  const child = spawn('Xvfb', ['-displayfd', '1', '-screen', '0', '390x844x24', '-nolisten', 'tcp'], { stdio: ['ignore', 'pipe', 'ignore'] });
  return new Promise((resolve, reject) => {
    child.once('error', reject);
    child.stdout.once('data', (d) => resolve({ child, name: `:${String(d).trim()}` }));
  });
}

export async function webkit(profile = mkdtempSync(join(tmpdir(), 'witnessmark-webkit-'))) {
  const screen = await display();
  const port = await freePort();
  const env = { ...process.env, DISPLAY: screen.name, LIBGL_ALWAYS_SOFTWARE: '1', WEBKIT_DISABLE_DMABUF_RENDERER: '1', WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: '1', XDG_DATA_HOME: profile, XDG_CACHE_HOME: join(profile, 'cache'), HOME: profile };
  const driver = spawn('/usr/bin/WebKitWebDriver', [`--port=${port}`], { env, stdio: 'ignore', detached: true });
  const call = async (method, path, body) => {
    const reply = await fetch(`http://127.0.0.1:${port}${path}`, { method, ...(body === undefined ? {} : { body: JSON.stringify(body) }) });
    const { value } = await reply.json();
    if (!reply.ok) throw new Error(`WebDriver ${path}: ${value?.message ?? reply.status}`);
    return value;
  };
  for (;;) {
    if (await call('GET', '/status').then((s) => s.ready, () => false)) break;
    await new Promise((r) => setTimeout(r, 50));
  }
  const { sessionId } = await call('POST', '/session', { capabilities: { alwaysMatch: { 'webkitgtk:browserOptions': { binary: webkitPath, args: ['--automation'] } } } });
  const at = `/session/${sessionId}`;
  await call('POST', `${at}/timeouts`, { script: 60_000, pageLoad: 60_000 });
  const stop = () => {
    try {
      process.kill(-driver.pid, 'SIGKILL');
    } catch {
      // It has gone already.
    }
    screen.child.kill('SIGKILL');
  };
  return face({
    profile,
    goto: (url) => call('POST', `${at}/url`, { url }),
    evaluate: (expression) => call('POST', `${at}/execute/sync`, { script: `return (${expression});`, args: [] }),
    upload: async (selector, file) => {
      const element = await call('POST', `${at}/element`, { using: 'css selector', value: selector });
      await call('POST', `${at}/element/${Object.values(element)[0]}/value`, { text: file });
    },
    kill: async () => stop(),
    close: async () => {
      await call('DELETE', at).catch(() => undefined);
      stop();
    },
    forget: async () => {
      await call('DELETE', at).catch(() => undefined);
      stop();
      rmSync(profile, { recursive: true, force: true });
    },
  });
}
