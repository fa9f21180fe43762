// The page's part of `make bench`: what the app weighs, what the core takes in a browser's worker beside plain JavaScript,
// and how long a cold start with nobody answering takes. Only ratios say anything: machines are noisy.
import { execFileSync } from 'node:child_process';
import { createServer } from 'node:http';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { brotliCompressSync, gzipSync } from 'node:zlib';
import { samplesInCore, samplesOnScreen } from './bench-samples.mjs';
import { openPhone, startServer } from './lib.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const dist = join(here, '..', 'dist');
const built = join(here, '..', 'core'); // the core before it got its name
const part = process.env.WITNESSMARK_BENCH;
if (part === undefined) throw new Error('run it as make bench, or with WITNESSMARK_BENCH=all: or the browser compiles as in the specs');
if (!['all', 'page', 'phone', 'samples', 'view'].includes(part)) process.exit(0);

const kib = (n) => `${(n / 1024).toFixed(1)} KiB`;
const weigh = (file) => ({ gzip: gzipSync(readFileSync(file), { level: 9 }).length, brotli: brotliCompressSync(readFileSync(file)).length });

function sizes() {
  const files = readdirSync(dist, { recursive: true }).map(String).filter((f) => statSync(join(dist, f)).isFile());
  const first = files.find((f) => /^assets\/main-.*\.js$/.test(f));
  const shell = files.filter((f) => !f.includes('.wasm')).reduce((sum, f) => sum + weigh(join(dist, f)).gzip, 0);
  const wasm = weigh(join(built, 'core.wasm'));
  console.log('\nThe page');
  console.log(`  first script, gzip         ${kib(weigh(join(dist, first)).gzip)} (wanted: at most 170)`);
  console.log(`  shell without the core     ${kib(shell)} gzip (wanted: at most 1024)`);
  console.log(`  core, brotli and gzip      ${kib(wasm.brotli)}, ${kib(wasm.gzip)} (aimed at: 500 KB brotli; Go's empty program is 417 KB)`);
}

const worker = `
importScripts('/wasm_exec.js');
const job = '0'.repeat(32);
const log = (p) => String(p).padStart(32, '0');
onmessage = async ({ data: n }) => {
  const go = new Go();
  const { instance } = await WebAssembly.instantiateStreaming(fetch('/core.wasm'), go.importObject);
  go.run(instance);
  const lines = [], last = {};
  for (let i = 0; i < n; i++) {
    const p = i % 5 + 1, before = last[p] ?? { seq: 0, id: '' };
    const body = { of: { asm: '2123', at: 'main.' + (i % 7 + 1) + '.journal', point: 'b.V' }, cond: 'trial:' + Math.floor(i / 200), value: { t: '74.' + (900 + i % 99), u: 'mm' }, read_by: 'idris' };
    const made = JSON.parse(witnessmark.compose(job, JSON.stringify({ log: log(p), seq: before.seq + 1, prev: before.id, at: '2031-04-12T10:22:31+01:00', by: 'idris', kind: 'reading', over: [], after: [], body }))).ok;
    last[p] = { seq: before.seq + 1, id: made.id };
    lines.push(made.raw);
  }
  let t = performance.now();
  const groups = new Map();
  for (const l of lines) {
    const e = JSON.parse(l), key = e.body.of.at + e.body.cond;
    const g = groups.get(key) ?? { n: 0, sum: 0 };
    g.n++; g.sum += Number(e.body.value.t);
    groups.set(key, g);
  }
  const plain = performance.now() - t;
  t = performance.now();
  for (let i = 0; i < n; i += 5000) witnessmark.add(job, new TextEncoder().encode(lines.slice(i, i + 5000).join('\\n')));
  const added = performance.now() - t;
  witnessmark.digest(job);
  postMessage({ plain, added, whole: performance.now() - t });
};`;

/** Runs a worker with the core in the installed Chromium, on a page of our own: what it posts for what it is told. */
async function served(script, told) {
  const files = { '/': ['text/html', '<title>bench</title>'], '/worker.js': ['text/javascript', script], '/core.wasm': ['application/wasm', readFileSync(join(built, 'core.wasm'))], '/wasm_exec.js': ['text/javascript', readFileSync(join(built, 'wasm_exec.js'))] };
  const server = createServer((q, a) => {
    const [type, body] = files[q.url] ?? ['text/plain', ''];
    a.setHeader('Content-Type', type);
    a.end(body);
  });
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
  const phone = await openPhone(`http://127.0.0.1:${server.address().port}`, { lasting: true });
  await phone.page.goto(`http://127.0.0.1:${server.address().port}/`);
  const got = await phone.page.evaluate((data) => new Promise((resolve, reject) => {
    const w = new Worker('/worker.js');
    w.onmessage = (e) => resolve(e.data);
    w.onerror = (e) => reject(new Error(e.message));
    w.postMessage(data);
  }), told);
  await phone.forget();
  server.close();
  return got;
}

async function core(n) {
  const got = await served(worker, n);
  console.log(`\nThe core in a worker of Chromium, ${n} entries from nothing`);
  console.log(`  plain JavaScript decoding  ${got.plain.toFixed(0)} ms`);
  console.log(`  read and hashed            ${got.added.toFixed(0)} ms   ${(got.added / got.plain).toFixed(1)} times (aimed at: 4)`);
  console.log(`  to results                 ${got.whole.toFixed(0)} ms   ${(got.whole / got.plain).toFixed(1)} times`);
}

/** A program of ours, paired as a phone is: how it asks, and its job. */
async function paired(server, role) {
  const json = { 'Content-Type': 'application/json', Origin: server.origin };
  const { code } = server.pair(role);
  const got = await fetch(`${server.origin}/api/v1/pair`, { method: 'POST', headers: json, body: JSON.stringify({ code, name: 'bench' }) });
  const { jobs } = await got.json();
  const cookie = got.headers.getSetCookie()[0].split(';')[0];
  const bought = await fetch(`${server.origin}/api/v1/token`, { method: 'POST', headers: { ...json, Cookie: cookie }, body: '{}' });
  return { jobs, token: (await bought.json()).token };
}

/** Hands ten thousand notes of one log to a server, as another program would. */
async function fill(server, n) {
  const { jobs, token } = await paired(server, 'fitter');
  const made = linesOf(jobs[0].job, n);
  for (let i = 0; i < made.length; i += 500) {
    const head = JSON.stringify({ v: 1, holds: {}, count: 0, digest: '', limit: 1, time: new Date().toISOString() });
    const reply = await fetch(`${server.origin}/api/v1/jobs/${jobs[0].job}/exchange`, {
      method: 'POST', headers: { 'Content-Type': 'application/vnd.witnessmark.exchange+ndjson', Authorization: `Bearer ${token}` }, body: [head, ...made.slice(i, i + 500), ''].join('\n'),
    });
    if (!reply.ok) throw new Error(await reply.text());
  }
  return made;
}

/** A new log of a job: n notes, or for 'samples' the run with four hours of samples. */
const linesOf = (job, n) => execFileSync('node', [join(here, 'bench-lines.cjs'), job, String(n)], { encoding: 'utf8', maxBuffer: 1 << 28 }).trim().split('\n');

async function coldStart(n) {
  const server = await startServer({ demo: true });
  await fill(server, n);
  let phone = await openPhone(server.origin, { lasting: true });
  await phone.page.goto(`${server.origin}/#pair=${server.pair('fitter').code}`);
  await phone.page.getByRole('button', { name: 'Pair this phone' }).click();
  await phone.page.getByRole('button', { name: 'Idris Cole' }).click({ timeout: 120_000 });
  await phone.page.getByText('all handed in').waitFor({ timeout: 120_000 });
  await phone.page.evaluate(() => navigator.serviceWorker.ready);
  const { profile } = phone;
  await phone.close();
  await server.stop({ keep: true });
  phone = await openPhone(server.origin, { profile });
  const tools = await phone.context.newCDPSession(phone.page);
  await tools.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  const began = performance.now();
  await phone.page.goto(`${server.origin}/`);
  await phone.page.locator('.drawing svg').filter({ visible: true }).first().waitFor({ timeout: 120_000 });
  console.log(`\nA cold start with the office off, ${n} entries more than the demo, the page's thread throttled 4 times (the worker is not)`);
  console.log(`  until the engine is drawn  ${((performance.now() - began) / 1000).toFixed(2)} s`);
  await phone.forget();
}

/** A phone that holds the demo and n entries more, paired and fetched, the office still there. */
async function fullPhone(n) {
  const server = await startServer({ demo: true });
  const lines = await fill(server, n);
  const phone = await openPhone(server.origin, { lasting: true });
  await phone.page.goto(`${server.origin}/#pair=${server.pair('fitter').code}`);
  await phone.page.getByRole('button', { name: 'Pair this phone' }).click();
  await phone.page.getByRole('button', { name: 'Idris Cole' }).click({ timeout: 120_000 });
  await phone.page.getByText('all handed in').waitFor({ timeout: 120_000 });
  return { server, phone, lines };
}

const betweenTaps = 150; // ms, the pause that is measured; nothing is waited for

const middle = (all) => all.toSorted((a, b) => a - b)[Math.floor(all.length / 2)];

/**
 * Notes in the worker when each transaction that may add an entry is complete: then it is durable. It listens from the
 * transaction's beginning, so it hears of the end before the app does, which goes on to other work at once. The clock is that
 * of all threads.
 */
async function watchDisk(page) {
  const [worker] = page.workers();
  await worker.evaluate(() => {
    globalThis.complete = [];
    const begin = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (stores, mode, ...rest) {
      const tx = begin.call(this, stores, mode, ...rest);
      if (mode === 'readwrite' && stores.includes('entries')) tx.addEventListener('complete', () => globalThis.complete.push(performance.timeOrigin + performance.now()));
      return tx;
    };
  });
  return () => worker.evaluate(() => globalThis.complete.splice(0)[0]);
}

/** Opens a store of nothing else in the page; the answer does so many bare durable writes there, of as many bytes as an entry, and tells how long each took. */
async function bareStore(page) {
  await page.evaluate(async () => {
    const db = await new Promise((ok) => {
      const open = indexedDB.open('bench', 1);
      open.onupgradeneeded = () => open.result.createObjectStore('rows', { autoIncrement: true });
      open.onsuccess = () => ok(open.result);
    });
    globalThis.bareWrites = async (n) => {
      const took = [];
      for (let i = 0; i < n; i++) {
        const began = performance.now();
        await new Promise((done) => {
          const tx = db.transaction('rows', 'readwrite', { durability: 'strict' });
          tx.objectStore('rows').put('x'.repeat(420));
          tx.oncomplete = done;
        });
        took.push(performance.now() - began);
      }
      return took;
    };
  });
  return (n) => page.evaluate((n) => globalThis.bareWrites(n), n);
}

/**
 * From the tap on Keep to when it is durable, and to the line that says it is saved, beside a bare durable write of as many
 * bytes in the same page: one as a tap comes, after a pause in which processor and disk went to rest, and one of many in a row.
 */
async function keeping({ server, phone }, n) {
  const { page } = phone;
  const bare = await bareStore(page);
  const row = await bare(60);
  await phone.offline(true);
  await page.evaluate(() => (location.hash = '#/point?asm=2117&at=main.2.journal&point=b.H&cond=found'));
  const figure = (i) => `74.9${60 + i}`; // fits what was read there: nothing is asked, one tap keeps it
  const took = [];
  const durable = [];
  const floor = [];
  const onDisk = await watchDisk(page);
  for (let i = 0; i < 40; i++) {
    const pad = page.locator('.pad[data-at="pad:2117/main.2.journal/b.H/found"]');
    await pad.focus();
    await page.keyboard.type(figure(i));
    await page.waitForFunction((t) => document.querySelector('[data-testid=keep]')?.textContent?.includes(t), figure(i));
    await page.waitForTimeout(betweenTaps);
    floor.push(...await bare(1));
    await page.waitForTimeout(betweenTaps);
    const { began, ended } = await page.evaluate(async () => {
      const before = Number.parseInt(document.querySelector('[data-testid=phone-state]').textContent, 10) || 0;
      const saved = new Promise((done) => {
        const look = new MutationObserver(() => {
          if ((Number.parseInt(document.querySelector('[data-testid=phone-state]').textContent, 10) || 0) > before) {
            look.disconnect();
            done(performance.now());
          }
        });
        look.observe(document.body, { subtree: true, childList: true, characterData: true });
      });
      const began = performance.now();
      document.querySelector('[data-testid=keep]').click();
      const ended = await saved;
      return { began: performance.timeOrigin + began, ended: performance.timeOrigin + ended };
    });
    took.push(ended - began);
    durable.push((await onDisk()) - began);
    await page.waitForFunction(() => !location.hash.includes('point=b.H')); // it goes on to the next point by itself
    await page.evaluate(() => (location.hash = '#/point?asm=2117&at=main.2.journal&point=b.H&cond=found'));
  }
  console.log(`\nKeep, with ${n} entries more than the demo on the phone, p50`);
  console.log(`  bare durable write         ${middle(floor).toFixed(1)} ms after a pause, as a tap comes; ${middle(row).toFixed(1)} ms one after the other`);
  console.log(`  tap to durable             ${middle(durable).toFixed(1)} ms   ${(middle(durable) / middle(floor)).toFixed(1)} times the one, ${(middle(durable) / middle(row)).toFixed(1)} the other (wanted: at most 3)`);
  console.log(`  tap to 'saved'             ${middle(took).toFixed(1)} ms   ${(middle(took) / middle(floor)).toFixed(1)} times`);
  await phone.offline(false);
  return server;
}

/** Moves between screens with the page's thread throttled four times, and counts the tasks over 50 ms. */
async function moving({ phone }, n) {
  const { page } = phone;
  const tools = await phone.context.newCDPSession(page);
  await tools.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await page.evaluate(() => {
    globalThis.long = [];
    new PerformanceObserver((l) => globalThis.long.push(...l.getEntries().map((e) => e.duration))).observe({ type: 'longtask' });
  });
  const screens = [['#/engine?asm=2117', '.drawing svg'], ['#/point?asm=2117&at=pin.1.journal&point=b.V', '.pad'], ['#/sheet?asm=2117', 'summary'], ['#/today', '.line'], ['#/results', '.line'],
    ['#/result?id=journal%2F2123%2Fpin.1%2Ffound', '.vals'], ['#/tighten?asm=2123&joint=head&cond=built', '.drawing svg'], ['#/job', '.part']];
  console.log(`\nMoving between screens, ${n} entries more than the demo, the page's thread throttled 4 times`);
  for (const [hash, there] of screens) {
    await page.evaluate(() => (globalThis.long = []));
    const began = performance.now();
    await page.evaluate((h) => (location.hash = h), hash);
    await page.locator(there).filter({ visible: true }).first().waitFor({ timeout: 60_000 });
    const took = performance.now() - began;
    await page.evaluate(() => new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r))));
    const long = await page.evaluate(() => globalThis.long);
    console.log(`  ${hash.slice(0, 30).padEnd(32)} ${took.toFixed(0).padStart(5)} ms   ${long.length} tasks over 50 ms (wanted: at most 1)${long.length > 0 ? `, the longest ${Math.max(...long).toFixed(0)} ms` : ''}`);
  }
  await tools.send('Emulation.setCPUThrottlingRate', { rate: 1 });
}

/** Opens a page with nothing kept from before; the answer is how long it took until it shows what it is for, and what came over the line but for photos. */
async function firstView(phone, url, there) {
  const page = await phone.context.newPage();
  const tools = await phone.context.newCDPSession(page);
  await tools.send('Network.enable');
  await tools.send('Network.setCacheDisabled', { cacheDisabled: true });
  const photos = new Set();
  let bytes = 0;
  tools.on('Network.requestWillBeSent', (r) => r.request.url.includes('/photo/') && photos.add(r.requestId));
  tools.on('Network.loadingFinished', (r) => !photos.has(r.requestId) && (bytes += r.encodedDataLength));
  const began = performance.now();
  await page.goto(url, { waitUntil: 'commit' });
  await page.locator(there).first().waitFor({ timeout: 60_000 });
  const took = performance.now() - began;
  await page.waitForLoadState('load');
  await page.close();
  return { took, bytes };
}

/** The volunteers' page of a job that is n entries more than the demo, beside an empty page of the same browser. */
async function viewLink(n) {
  const server = await startServer({ demo: true });
  await fill(server, n);
  const { jobs, token } = await paired(server, 'lead');
  const made = await fetch(`${server.origin}/api/v1/jobs/${jobs[0].job}/links`, { method: 'POST', headers: { 'Content-Type': 'application/json', Origin: server.origin, Authorization: `Bearer ${token}` }, body: JSON.stringify({ name: 'bench' }) });
  const { path } = await made.json();
  const empty = createServer((_, a) => a.setHeader('Content-Type', 'text/html').end('<!doctype html><title>empty</title><p>empty</p>'));
  await new Promise((resolve) => empty.listen(0, '127.0.0.1', resolve));
  const phone = await openPhone(server.origin, { lasting: true });
  const [floor, view] = [[], []];
  for (let i = 0; i < 7; i++) {
    floor.push(await firstView(phone, `http://127.0.0.1:${empty.address().port}/?${i}`, 'p'));
    view.push(await firstView(phone, `${server.origin}${path.replace('#', `?${i}#`)}`, '.engine svg'));
  }
  const [idle, shown] = [floor, view].map((all) => middle(all.map((x) => x.took)));
  console.log(`\nThe view link, ${n} entries more than the demo, nothing kept from before, p50 of 7`);
  console.log(`  an empty page              ${idle.toFixed(0)} ms`);
  console.log(`  until both engines stand   ${shown.toFixed(0)} ms   ${(shown / idle).toFixed(1)} times`);
  console.log(`  over the line, no photos   ${kib(Math.max(...view.map((x) => x.bytes)))} (wanted: at most 150 KiB)`);
  await phone.forget();
  empty.close();
  await server.stop();
}

async function onePhone(n) {
  const full = await fullPhone(n);
  await keeping(full, n);
  await moving(full, n);
  await full.phone.forget();
  await full.server.stop();
}

/** The start of the run is the second line of its log; its name is what the next one names. */
const runIn = (lines) => JSON.parse(lines[2]).body.run;

async function samples() {
  const full = await fullPhone('samples');
  await samplesInCore(served, { text: `${full.lines.join('\n')}\n`, run: runIn(full.lines) });
  await samplesOnScreen(full, runIn(full.lines));
}

if (part === 'all' || part === 'page') {
  sizes();
  await core(100_000);
  await coldStart(10_000);
}
if (part === 'all' || part === 'samples') await samples();
if (part === 'all' || part === 'view') await viewLink(20_000);
if (part !== 'samples' && part !== 'view') await onePhone(20_000);
