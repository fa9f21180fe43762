// A new version of the app while somebody works: it is told, it waits, and what is not handed in outlives it (T38).
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer, request } from 'node:http';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';
import { build } from 'vite';
import { accessible, equal, picture, startServer, truthy } from '../lib.mjs';
import { installed, open, paired } from '../steps.mjs';

/** Stands before the server and can serve the next version: a service worker with another name, so another store of files. */
async function front(server) {
  let next = false;
  let served = 0;
  const proxy = createServer((req, res) => {
    const onward = request(`${server.origin}${req.url}`, { method: req.method, headers: { ...req.headers, 'accept-encoding': 'identity' } }, (reply) => {
      if (!next || req.url !== '/sw.js' || reply.statusCode !== 200) {
        res.writeHead(reply.statusCode, reply.headers);
        reply.pipe(res);
        return;
      }
      const parts = [];
      reply.on('data', (d) => parts.push(d));
      reply.on('end', () => {
        const text = Buffer.concat(parts).toString();
        const changed = text.replace(/app-[0-9a-f]{16}/, 'app-0123456789abcdef');
        if (changed !== text) served += 1;
        res.writeHead(200, { ...reply.headers, etag: '"next"', 'content-length': Buffer.byteLength(changed) }).end(changed);
      });
    });
    onward.on('error', () => res.destroy());
    req.pipe(onward);
  });
  await new Promise((resolve) => proxy.listen(0, '127.0.0.1', resolve));
  return {
    origin: `http://127.0.0.1:${proxy.address().port}`,
    release: () => (next = true),
    served: () => served,
    close: () => new Promise((resolve) => { proxy.close(resolve); proxy.closeAllConnections(); }),
  };
}

/** The stores of files, and whether a worker waits. */
const workers = (page) => page.evaluate(async () => {
  const r = await navigator.serviceWorker.getRegistration();
  return { waiting: r.waiting !== null, files: (await caches.keys()).filter((k) => k.startsWith('app-')).sort() };
});

/** Resolves when the files of one version alone are left: the page that has begun with it drops the others. */
const alone = async (page) => {
  while ((await workers(page)).files.length > 1) await page.evaluate(() => navigator.serviceWorker.ready);
};

const typed = (page) => page.locator('[data-testid=keep]').innerText();

/** Kept with no signal, half a figure on the pad, a new version arrives: told, not taken; taken by tap: the kept entry and the half figure are there. */
async function updateWaits() {
  const server = await startServer({ demo: true });
  const door = await front(server);
  const { page, offline, complaints, forget } = await paired(server, 'fitter', 'P2', 'Idris Cole', { origin: door.origin });
  try {
    await page.evaluate(() => navigator.serviceWorker.ready);
    await page.reload(); // the worker answers for the page from now on
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    const old = (await workers(page)).files;
    equal(old.length, 1, 'stores of files before');

    await offline(true);
    await page.evaluate(() => (location.hash = '#/point?asm=2117&at=pin.1.journal&point=a.V&cond=found'));
    await page.getByRole('heading', { name: /big-end pin 1/ }).waitFor();
    await page.getByRole('group', { name: 'Number pad' }).focus();
    await page.keyboard.type('61.951');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.951'));
    await page.getByTestId('keep').click();
    await page.waitForFunction(() => location.hash.includes('point=a.H'));
    const waits = await page.getByTestId('phone-state').innerText();
    truthy(/only on this phone/.test(waits), `kept with no signal: ${waits}`);

    await page.getByRole('group', { name: 'Number pad' }).focus();
    await page.keyboard.type('61.9');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.9'));
    await page.evaluate(() => (globalThis.sameDocument = true));
    // The new version comes with the next signal; the exchange is held, so that the entry stays only here.
    await page.context().route(/\/(v|api)\//, (r) => r.abort());
    door.release();
    await offline(false);
    await page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());
    await page.getByText('A new version is here.').waitFor();
    truthy(door.served() > 0, 'a service worker of another version was served');
    const held = await workers(page);
    equal([held.waiting, held.files.length, held.files.includes(old[0])], [true, 2, true], 'it waits beside the one that is used');
    equal(await page.evaluate(() => globalThis.sameDocument), true, 'the page was not loaded again');
    truthy(/61\.9/.test(await typed(page)), 'the half figure is still on the pad');
    await page.keyboard.type('6');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.96'));
    await accessible(page, 'a new version waits');
    await picture(page, 'update-waits');

    await page.getByRole('button', { name: 'Take it now' }).click();
    await page.waitForFunction(() => globalThis.sameDocument === undefined && document.querySelector('[data-testid=keep]') !== null);
    await alone(page);
    equal(await workers(page), { waiting: false, files: ['app-0123456789abcdef'] }, 'the new one alone is used');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.96'));
    equal(await page.getByText('A new version is here.').count(), 0, 'nothing more waits');
    equal(await page.getByTestId('phone-state').innerText(), waits, 'the entry is still only on this phone');
    await page.context().unroute(/\/(v|api)\//);
    await page.evaluate(() => (location.hash = '#/phone'));
    await page.getByRole('button', { name: 'Hand in and fetch' }).click();
    await page.getByText('Nothing is only on this phone.').waitFor();
    equal(complaints, [], 'complaints of the page');
  } finally {
    await forget();
    await door.close();
    await server.stop();
  }
}

const pwa = new URL('../../', import.meta.url).pathname;
const mark = 'Parts of the next version';

/** Builds the app once more, with another word on one screen: a version whose parts have other names. */
async function nextVersion() {
  const outDir = mkdtempSync(join(tmpdir(), 'witnessmark-next-'));
  const another = { name: 'next', enforce: 'pre', transform: (code, id) => (id.endsWith('/screens/parts.tsx') ? code.replaceAll('<h1>Parts{', `<h1>${mark}{`) : undefined) };
  await build({ root: pwa, configFile: join(pwa, 'vite.config.ts'), logLevel: 'error', plugins: [another], build: { outDir, emptyOutDir: true } });
  return outDir;
}

const types = { '.js': 'text/javascript', '.css': 'text/css', '.wasm': 'application/wasm', '.html': 'text/html' };

/** Stands before the server; once released it hands out the files of the next version, and has none of the old ones. `asked` are the parts that were asked for then. */
async function nextFront(server, folder) {
  const front = { released: false, asked: [], missing: [] };
  const proxy = createServer((req, res) => {
    const path = new URL(req.url, server.origin).pathname;
    if (front.released && !/^\/(v|api|book|healthz)(\/|$)/.test(path)) {
      front.asked.push(path);
      try {
        const file = path === '/' ? '/index.html' : path;
        const bytes = readFileSync(join(folder, file));
        return res.writeHead(200, { 'content-type': types[extname(file)] ?? 'application/octet-stream', 'cache-control': 'no-store' }).end(bytes);
      } catch {
        front.missing.push(path);
        return res.writeHead(404).end();
      }
    }
    const onward = request(`${server.origin}${req.url}`, { method: req.method, headers: req.headers }, (reply) => {
      res.writeHead(reply.statusCode, reply.headers);
      reply.pipe(res);
    });
    onward.on('error', () => res.destroy());
    return req.pipe(onward);
  });
  await new Promise((resolve) => proxy.listen(0, '127.0.0.1', resolve));
  return Object.assign(front, { origin: `http://127.0.0.1:${proxy.address().port}`, close: () => new Promise((resolve) => { proxy.close(resolve); proxy.closeAllConnections(); }) });
}

const half = '61.9';
const point = '#/point?asm=2117&at=pin.1.journal&point=a.V&cond=found';

/** The half figure that was typed before is on the pad. */
async function halfStands(phone) {
  await open(phone, point);
  await phone.page.waitForFunction((t) => document.querySelector('[data-testid=keep]')?.textContent?.includes(t), half);
}

/** Screens that nobody had opened yet are opened by a page of the old version: while the new one waits, and after another tab has taken it. They come from the phone's own copy of the old version, with the half figure where it was (T38). */
async function oldParts() {
  const folder = await nextVersion();
  const server = await startServer({ demo: true });
  const door = await nextFront(server, folder);
  const a = await paired(server, 'lead', 'P1', 'Maud Ferris', { origin: door.origin });
  try {
    const { page } = a;
    await installed(a);
    await page.reload();
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    await open(a, point);
    await page.getByRole('group', { name: 'Number pad' }).focus();
    await page.keyboard.type(half);
    await halfStands(a);
    await page.evaluate(() => (globalThis.sameDocument = true));

    door.released = true;
    await page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());
    await page.getByText('A new version is here.').waitFor();
    equal((await workers(page)).files.length, 2, 'versions on the phone');
    await open(a, '#/snags');
    await page.getByRole('heading', { name: 'Snags' }).waitFor();
    await halfStands(a);

    // What the browser keeps beside may go any time: only the app's own copy is relied on.
    await (await page.context().newCDPSession(page)).send('Network.clearBrowserCache');
    const b = await page.context().newPage();
    await b.goto(`${door.origin}/`);
    await b.getByText('Open elsewhere').waitFor();
    await b.evaluate(async () => {
      const taken = new Promise((resolve) => navigator.serviceWorker.addEventListener('controllerchange', resolve));
      (await navigator.serviceWorker.getRegistration()).waiting.postMessage('take over');
      await taken;
    });
    await b.reload(); // it begins with the new version, while the old page is open
    await b.getByText('Open elsewhere').waitFor();
    await b.close();
    equal((await workers(page)).waiting, false, 'the new version has been taken');
    await open(a, '#/parts');
    await page.getByRole('heading', { name: 'Parts', exact: true }).waitFor();
    await open(a, '#/plan');
    await page.getByRole('heading', { name: /plan/i }).first().waitFor();
    await halfStands(a);
    equal(await page.evaluate(() => globalThis.sameDocument), true, 'the old page was not loaded again');
    equal(door.missing, [], 'parts that nobody had any more');

    await page.getByRole('button', { name: 'Take it now' }).click();
    await page.waitForFunction(() => globalThis.sameDocument === undefined && document.querySelector('[data-testid=keep]') !== null);
    await halfStands(a);
    await open(a, '#/parts');
    await page.getByRole('heading', { name: mark }).waitFor();
    await alone(page);
    equal(a.complaints, [], 'complaints of the page');
  } finally {
    await a.forget();
    await door.close();
    await server.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

export const cases = [
  ['parts of the old version, while the new one waits and after another tab took it', oldParts],
  ['a new version waits, and what is not handed in outlives it', updateWaits],
];
