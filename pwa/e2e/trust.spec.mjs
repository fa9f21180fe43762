// What may happen to a phone and its line, done to a real browser and the real server: nothing shown as saved is lost, nothing
// comes twice, and what is no office's answer counts for nothing. Numbers as in server/trust.md.
import { cpSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { badLine } from './faults.mjs';
import { accessible, equal, openPhone, picture, startServer, truthy } from './lib.mjs';
import { installed, open, paired, ready, waiting } from './steps.mjs';

const state = (p) => p.page.getByTestId('phone-state');
const shown = (p, text) => p.page.locator('.reading', { hasText: text }).first().waitFor();

async function point(p, at) {
  await open(p, `#/point?asm=2117&at=${at}&point=b.V&cond=found`);
  await p.page.locator(`.pad[data-at="pad:2117/${at}/b.V/found"]`).waitFor();
}

async function type(p, at, text) {
  await open(p, '#/engine?asm=2117');
  await point(p, at);
  await p.page.getByRole('group', { name: 'Number pad' }).focus();
  await p.page.keyboard.press('Escape');
  await p.page.keyboard.type(text);
  await p.page.getByRole('button', { name: new RegExp(`^Keep ${text.replace('.', '\\.')}`) }).click();
}

async function keep(p, text, at = 'main.3.journal') {
  await type(p, at, text);
  await p.page.locator('.kept', { hasText: text }).waitFor();
}

/** Ids of the entries in the phone's store, in order, and which of them wait. */
const stored = (p) => p.page.evaluate(() => new Promise((resolve) => {
  const asked = indexedDB.open('witnessmark');
  asked.onsuccess = () => {
    const all = asked.result.transaction('entries').objectStore('entries').getAll();
    all.onsuccess = () => (asked.result.close(), resolve({ ids: all.result.map((e) => e.id).sort(), waits: all.result.filter((e) => e.waits === 1).map((e) => e.id).sort() }));
  };
}));

const wake = (p) => p.page.evaluate(() => dispatchEvent(new Event('online')));
const noSync = () => {
  delete globalThis.SyncManager;
  delete ServiceWorkerRegistration.prototype.sync;
};

/** Replies lost, cut, doubled, a station's page, a redirect, an empty answer; half the pushes dropped, others doubled; no background sync (T13, T16, T17, T29). Then a page that slept (T31). */
async function badLineBetween() {
  const server = await startServer({ demo: true });
  const line = await badLine(server);
  const a = await paired(server, 'fitter', 'P2', 'Idris Cole', { origin: line.origin, init: noSync });
  const b = await paired(server, 'fitter', 'P4', 'Pell Oakes', { origin: line.origin, init: noSync });
  try {
    const texts = ['74.981', '74.982', '74.983', '74.984', '74.985', '74.986'];
    const turns = ['lose', 'cut', 'double', 'portal', 'redirect', 'empty'];
    await point(b, 'main.3.journal');
    let pushes = 0;
    line.copies = () => [0, 1, 2][pushes++ % 3];
    const logs = async () => new Set((await entries(a)).map((e) => e.log)).size;
    const before = await logs();
    let bad = 'pass';
    line.plan = (req) => (req.url.endsWith('/exchange') ? bad : 'pass');
    for (const [i, text] of texts.entries()) {
      bad = turns[i];
      const sent = line.seen[bad] ?? 0;
      await keep(a, text);
      for (let n = 0; (line.seen[bad] ?? 0) === sent && n < 100; n++) await wake(a); // each wake makes the phone look again
      if (bad !== 'double') { // twice is no loss: the second answer is a good one
        await state(a).filter({ hasText: 'only on this phone' }).waitFor();
        truthy((await stored(a)).waits.length > 0, `after ${bad}: nothing is marked as handed in`);
      }
      if (bad === 'portal') {
        await open(a, '#/phone');
        await a.page.getByTestId('exchange-says').filter({ hasText: 'That network answered, but not the office.' }).waitFor();
      }
      bad = 'pass';
      await wake(a);
      await ready(a);
    }
    for (const text of texts) await shown(b, text); // by pushes, of which a third never came and a third came twice
    await ready(b);
    const [mine, theirs] = [await stored(a), await stored(b)];
    equal(mine.ids, theirs.ids, 'both phones hold the same entries');
    equal([mine.waits, theirs.waits], [[], []], 'nothing waits');
    equal(await logs(), before + 1, 'one log for all that was lost and sent again');
    for (const what of [...turns, 'push 0', 'push 2']) truthy(line.seen[what] > 0, `"${what}" never happened: the case shows nothing`);

    const devtools = await b.context.newCDPSession(b.page);
    await devtools.send('Page.setWebLifecycleState', { state: 'frozen' });
    line.copies = () => 0; // and no push reaches it
    await keep(a, '74.987');
    await ready(a);
    await devtools.send('Page.setWebLifecycleState', { state: 'active' });
    await b.page.evaluate(() => document.dispatchEvent(new Event('visibilitychange'))); // as the screen that is lit again sends it
    await shown(b, '74.987');
    await keep(a, '74.988');
    await ready(a);
    await b.page.evaluate(() => dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))); // as a page that comes back from the browser's cache hears it
    await shown(b, '74.988');
    for (const p of [a, b]) equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await Promise.all([a.forget(), b.forget()]);
    await line.close();
    await server.stop();
  }
}

/** Writes into the phone's store until the browser takes no more, in ever smaller pieces. */
const fill = (p) => p.page.evaluate(async () => {
  const db = await new Promise((resolve) => { const asked = indexedDB.open('witnessmark'); asked.onsuccess = () => resolve(asked.result); });
  const put = (size, name) => new Promise((resolve) => {
    const tx = db.transaction('drafts', 'readwrite', { durability: 'strict' });
    const bytes = new Uint8Array(size);
    for (let at = 0; at < size; at += 65_536) crypto.getRandomValues(bytes.subarray(at, Math.min(size, at + 65_536)));
    tx.objectStore('drafts').put(bytes, name);
    tx.oncomplete = () => resolve(true);
    tx.onabort = () => resolve(false);
  });
  let pieces = 0;
  for (const size of [1 << 20, 1 << 16, 1 << 12, 64]) while (await put(size, `filling ${pieces}`)) pieces++;
  db.close();
  return pieces;
});

/** The browser's room for the app is used up to the last bytes: what was refused is not called saved and stays in the field (T1). */
async function noRoom() {
  const server = await startServer({ demo: true });
  const limit = async ({ page, context, origin }) => (await context.newCDPSession(page)).send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 14 << 20 });
  const p = await paired(server, 'fitter', 'P2', 'Idris Cole', { lasting: true, before: limit });
  try {
    await installed(p);
    await p.offline(true);
    await keep(p, '74.970');
    truthy((await fill(p)) > 3, 'there was room before');
    const before = await stored(p);
    await type(p, 'main.4.journal', '74.971');
    await p.page.getByText('this phone is full, so nothing was saved').first().waitFor();
    truthy(/74\.971/.test(await p.page.getByTestId('keep').innerText()), 'the refused value is still in the field');
    equal((await stored(p)).ids, before.ids, 'what is shown as saved is what is stored');
    equal(await waiting(p), before.waits.length, 'and is counted so');
    await open(p, '#/engine?asm=2117');
    await point(p, 'main.4.journal');
    equal(await p.page.locator('.reading', { hasText: '74.971' }).count(), 0, 'it stands nowhere as a reading');
  } finally {
    await p.forget();
    await server.stop();
  }
}

const broken = `self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (e) => e.waitUntil(self.clients.claim()));
self.addEventListener('fetch', (e) => e.respondWith(Response.error()));`;

const files = (page) => page.evaluate(async () => (await caches.keys()).filter((k) => k.startsWith('app-')).sort());

/** Half a new version, a broken one, and the one that mends it, with five entries unsent; then a cold start with the office off (T37, T39, T40). */
async function versions() {
  const server = await startServer({ demo: true });
  const line = await badLine(server);
  let p = await paired(server, 'fitter', 'P2', 'Idris Cole', { lasting: true, origin: line.origin });
  const { profile } = p;
  try {
    await installed(p);
    await p.page.reload();
    await p.page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    const handing = /^\/api\/v1\/(token|jobs\/)/; // the phone goes on trying to hand in meanwhile
    line.plan = (req) => (handing.test(req.url) ? 'lose' : 'pass'); // no more than that: a browser asks once more when a connection it had kept is cut
    for (let i = 0; i < 5; i++) await keep(p, `74.96${i}`);
    const held = await stored(p);
    equal(held.waits.length, 6, 'five readings and the line that opens the log wait');
    const old = await files(p.page);

    // What is the office's own it never answers: the volunteers' pages must die with their links (T54).
    const asked = [];
    line.answer = (req) => (handing.test(req.url) || asked.push(req.url), false);
    const own = ['/v/nobody', '/book/page.css', '/healthz', '/api/v1/nothing'];
    await p.page.evaluate((urls) => Promise.allSettled([...urls, '/icon.svg', '/'].map((u) => fetch(u))), own);
    equal(asked.sort(), own.sort(), 'what came to the office');
    const opened = await p.context.newPage();
    await opened.goto(`${line.origin}/v/nobody`);
    equal(asked.filter((u) => u === '/v/nobody').length, 2, 'a link that is opened on a phone is the office\'s page, not the app');
    await opened.close();

    // Half of it: one file is a station's page, with status 200.
    const next = (await (await fetch(`${server.origin}/sw.js`)).text()).replace(/app-[0-9a-f]{16}/, 'app-00000000000half');
    const script = (res, text) => (res.writeHead(200, { 'content-type': 'text/javascript', 'cache-control': 'no-store' }).end(text), true);
    line.answer = (req, res) => {
      if (req.url === '/sw.js') return script(res, next);
      if (/\.wasm$/.test(req.url)) return (res.writeHead(200, { 'content-type': 'text/html' }).end('<html>welcome</html>'), true);
      return false;
    };
    equal(await p.page.evaluate(async () => {
      const r = await navigator.serviceWorker.getRegistration();
      await r.update();
      const fresh = r.installing;
      if (fresh !== null) await new Promise((resolve) => fresh.addEventListener('statechange', () => ['redundant', 'installed'].includes(fresh.state) && resolve()));
      return [r.waiting, r.installing];
    }), [null, null], 'half a version is none');
    equal(await files(p.page), old, 'and leaves no files');

    // A broken one takes the page over, and nothing can be drawn.
    line.answer = (req, res) => req.url === '/sw.js' && script(res, broken);
    const taken = p.page.evaluate(() => new Promise((resolve) => navigator.serviceWorker.addEventListener('controllerchange', () => resolve(true))));
    await p.page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());
    equal(await taken, true, 'the broken one has taken over');
    equal(await p.page.reload().then(() => 'drawn', () => 'not drawn'), 'not drawn', 'with the broken one the page');

    // The next one mends it: it comes with the next tries to open the app.
    line.answer = undefined;
    for (let n = 0; n < 200 && !(await p.page.goto(`${line.origin}/`).then(() => true, () => false)); n++);
    await p.page.locator('.drawing svg').filter({ visible: true }).first().waitFor();
    equal((await stored(p)).waits, held.waits, 'what waited still waits');

    // Nobody answers, and the browser starts from nothing.
    await installed(p);
    await p.close();
    await line.close();
    await server.stop({ keep: true });
    p = await openPhone(line.origin, { profile });
    await p.page.addInitScript(() => {
      globalThis.said = new Set();
      new MutationObserver(() => globalThis.said.add(document.querySelector('[data-testid=phone-state]')?.textContent)).observe(document, { subtree: true, childList: true, characterData: true });
    });
    await p.page.goto(`${line.origin}/`);
    await keep(p, '74.969');
    equal((await stored(p)).waits.length, 7, 'kept with the office off');
    const said = await p.page.evaluate(() => [...globalThis.said]);
    equal([said.includes('all handed in'), said.some((t) => t?.startsWith('6 '))], [false, true], `what it said of itself since it began: ${said.join(', ')}`);
  } finally {
    await p.forget();
    await line.close().catch(() => undefined);
    await server.stop();
  }
}

/** A workshop without a public name: the page says which step is missing; with the certificate the app is kept, and it opens later although the certificate no longer counts (T37, T47). */
async function ownCertificate() {
  const server = await startServer({ own: 'heron.home.arpa' });
  const finds = [`--host-resolver-rules=MAP heron.home.arpa 127.0.0.1`];
  const trusts = [...finds, `--ignore-certificate-errors-spki-list=${server.key}`];
  const stranger = await openPhone(server.help, { lasting: true });
  let p = await openPhone(server.origin, { lasting: true, flags: trusts });
  const { profile } = p;
  try {
    const says = (q, words) => q.page.locator('#says').filter({ hasText: words }).waitFor();
    await stranger.page.goto(server.help);
    await says(stranger, 'does not find the name heron.home.arpa');
    await accessible(stranger.page, 'help for phones');
    await picture(stranger.page, 'help-390');
    await stranger.close();
    const half = await openPhone(server.help, { profile: stranger.profile, flags: finds });
    await half.page.goto(server.help);
    await says(half, 'is not trusted yet');
    await half.close();
    await p.page.goto(server.help);
    await says(p, 'Nothing is missing');

    await p.page.goto(`${server.origin}/`);
    await p.page.getByLabel('Code').fill(server.pair('lead').code);
    await p.page.getByLabel('What this phone is called').fill('P1');
    await p.page.getByRole('button', { name: 'Pair this phone' }).click();
    await p.page.getByLabel('Title').waitFor();
    equal(await installed(p), 'activated', 'the app is kept on the phone');
    equal((await p.context.cookies(server.origin)).map((c) => [c.name, c.secure, c.httpOnly]), [['__Host-wm_device', true, true]], 'the secret is bound to this host');
    await p.close();

    p = await openPhone(server.origin, { profile, flags: finds }); // it no longer trusts the certificate
    await p.page.goto(`${server.origin}/`);
    await p.page.getByLabel('Title').fill('Inspection trolley');
    await p.page.getByRole('button', { name: 'Begin' }).click();
    await p.page.getByText('No engine has been set up yet').waitFor();
    equal((await stored(p)).waits.length, 2, 'a job is begun with a certificate that does not count');
  } finally {
    await Promise.all([p.forget(), stranger.forget()]);
    await server.stop();
  }
}

/** A phone that is handed on: nothing goes while something waits; afterwards nothing is left, and its key opens nothing (T52). */
async function takenOut() {
  const server = await startServer({ demo: true });
  const p = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await installed(p);
    await p.offline(true);
    await keep(p, '74.955');
    const before = await stored(p);
    const remove = async () => {
      await open(p, '#/phone');
      await p.page.getByRole('button', { name: 'Take this phone out' }).click();
      await accessible(p.page, 'taking a phone out');
      await p.page.getByRole('button', { name: 'Remove everything from this phone' }).click();
    };
    await remove();
    await p.page.getByText('only on this phone: hand in first').waitFor();
    await picture(p.page, 'taken-out-390');
    equal(await stored(p), before, 'nothing was removed');
    await p.offline(false);
    await wake(p);
    await ready(p);
    await remove();
    await p.page.getByLabel('Code').waitFor();
    equal((await stored(p)).ids, [], 'entries left on the phone');
    equal(await p.page.evaluate(async () => (await fetch('/api/v1/token', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{}' })).status), 401, 'what its key opens');
  } finally {
    await p.forget();
    await server.stop();
  }
}

/** The whole folder of a browser that is closed, as a phone's backup holds it, but for the marks of the process that had it. */
function copyOf(profile) {
  const to = mkdtempSync(join(tmpdir(), 'witnessmark-phone-'));
  cpSync(profile, to, { recursive: true, filter: (from) => !basename(from).startsWith('Singleton') });
  return to;
}

const entries = (p) => p.page.evaluate(() => new Promise((resolve) => {
  const asked = indexedDB.open('witnessmark');
  asked.onsuccess = () => {
    const all = asked.result.transaction('entries').objectStore('entries').getAll();
    all.onsuccess = () => (asked.result.close(), resolve(all.result.map(({ id, raw, waits }) => ({ ...JSON.parse(raw), id, waits }))));
  };
}));

/** A phone is copied while it is paired, and both go on; then its oldest copy is put back, and goes on too. Each writes on in a log of its own from its second exchange, nothing is lost or doubled, and the office has noted it (T11). */
async function copiedPhone() {
  const server = await startServer({ demo: true });
  const all = [];
  const go = async (profile) => {
    const p = await openPhone(server.origin, { profile });
    all.push(p);
    await p.offline(true); // or the office would tell it before it has written anything
    await p.page.goto(`${server.origin}/`);
    await p.page.locator('.drawing svg').filter({ visible: true }).first().waitFor();
    return p;
  };
  const online = async (p) => {
    await p.offline(false);
    await wake(p);
    await ready(p);
  };
  const texts = [];
  const keeps = async (p, n) => {
    texts.push(`74.94${n}`);
    await keep(p, `74.94${n}`);
  };
  const first = await paired(server, 'lead', 'P7', 'Idris Cole', { lasting: true });
  all.push(first);
  try {
    await installed(first);
    await keeps(first, 0);
    await ready(first);
    await first.close();
    const [copy, backup] = [copyOf(first.profile), copyOf(first.profile)];
    const a = await go(first.profile);
    const b = await go(copy);
    await keeps(a, 1);
    await keeps(b, 2);
    for (const p of [a, b]) await online(p);
    await keeps(a, 3);
    await keeps(b, 4);
    for (const p of [a, b]) await ready(p);
    const c = await go(backup); // put back to before all that
    await keeps(c, 5);
    await online(c);
    await keeps(c, 6);
    await ready(c);
    await keeps(a, 7);
    await keeps(b, 8);
    await keeps(c, 9);
    for (const p of [a, b, c]) {
      await wake(p);
      await ready(p);
      await point(p, 'main.3.journal');
      for (const text of texts) await shown(p, text);
    }
    const held = await Promise.all([a, b, c].map(entries));
    const ids = held.map((h) => h.map((e) => e.id).sort());
    for (const i of [1, 2]) equal(ids[i], ids[0], 'all hold the same entries');
    const logOf = (text) => held[0].filter((e) => e.kind === 'reading' && e.body.value.t === text).map((e) => e.log);
    for (const text of texts) equal(logOf(text).length, 1, `${text} is there once`);
    equal(new Set(['74.947', '74.948', '74.949'].flatMap(logOf)).size, 3, 'each writes a log of its own');
    const acts = await a.page.evaluate(async () => {
      const { token } = await (await fetch('/api/v1/token', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{}' })).json();
      return (await (await fetch('/api/v1/audit', { headers: { Authorization: `Bearer ${token}` } })).json()).lines.map((l) => l.action);
    });
    truthy(acts.includes('second phone with one log') && acts.includes('fork'), `the office has noted it: ${acts}`);
  } finally {
    await Promise.all(all.map((p) => p.forget()));
    await server.stop();
  }
}

export const cases = [
  ['a bad line, pushes that get lost, a page that slept', badLineBetween],
  ['no room on the phone', noRoom],
  ['half a version, a broken one, the office off', versions],
  ['a certificate of the workshop itself', ownCertificate],
  ['a phone that is handed on', takenOut],
  ['a phone that was copied while it was paired, and one that was put back', copiedPhone],
];
