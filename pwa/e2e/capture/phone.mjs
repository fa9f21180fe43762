// The phone in a dirty hand: gauges that type, whose hands it is in, and what
// it says about itself when its store, its key or its version is not what it was.
import { accessible, deskSize, equal, openPhone, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready, waiting } from '../steps.mjs';

const text = (p) => p.page.locator('main').innerText();
const says = (p) => p.page.getByTestId('gauge-says');
const readback = (p) => p.page.getByTestId('readback');

async function openPoint(p, asm, at, point) {
  await open(p, `#/point?asm=${asm}&at=${at}&point=${point}&cond=found`);
  await p.page.locator(`.pad[data-at="pad:${asm}/${at}/${point}/found"]`).waitFor(); // not the pad of the point before
}

const endKeys = { Enter: { key: 'Enter', code: 'Enter', windowsVirtualKeyCode: 13, text: '\r' }, Tab: { key: 'Tab', code: 'Tab', windowsVirtualKeyCode: 9 } };

/** Gauges' bursts: real keys with nothing between them, and the key that ends each. */
async function burst(p, value, end = 'Enter') {
  const devtools = await p.context.newCDPSession(p.page);
  const keys = [...value].map((c) => (c === '\n' ? endKeys.Enter : { key: c, text: c, unmodifiedText: c }));
  if (end !== '') keys.push(endKeys[end]);
  const timestamp = Date.now() / 1000;
  // Sent without waiting for one another, as an instrument does.
  await Promise.all(keys.flatMap((k) => [devtools.send('Input.dispatchKeyEvent', { type: 'keyDown', timestamp, ...k }), devtools.send('Input.dispatchKeyEvent', { type: 'keyUp', timestamp, ...k, text: undefined })]));
  await devtools.detach();
}

const arm = async (p) => {
  await p.page.getByRole('button', { name: /^From the gauge/ }).click();
  await p.page.getByText("Ready: press the gauge's button").waitFor();
};

const entriesSaved = (p) => p.page.evaluate(() => new Promise((resolve) => {
  const asked = indexedDB.open('witnessmark');
  asked.onsuccess = () => {
    const all = asked.result.transaction('entries').objectStore('entries').getAll();
    all.onsuccess = () => (asked.result.close(), resolve(all.result.map((e) => ({ log: e.log, seq: e.seq, waits: e.waits, kind: JSON.parse(e.raw).kind, body: JSON.parse(e.raw).body, by: JSON.parse(e.raw).by })).sort((a, b) => (a.log === b.log ? a.seq - b.seq : a.log < b.log ? -1 : 1))));
  };
}));

/** Keys as a gauge sends them, on the armed point, on none, by hand, and cut in half (T63). */
async function gauges() {
  const server = await startServer({ demo: true });
  const p = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await p.page.evaluate(() => navigator.serviceWorker.ready);
    await p.offline(true);
    await openPoint(p, '2117', 'main.3.journal', 'b.V');
    const before = await waiting(p);
    await p.page.getByRole('group', { name: 'Number pad' }).focus();
    await burst(p, '74.980');
    await says(p).filter({ hasText: 'A gauge sent 74.980 but no point is armed.' }).waitFor();
    equal(await waiting(p), before, 'nothing armed, nothing recorded');
    truthy(!(await readback(p).innerText()).includes('74.980'), 'and nothing left standing on the pad');

    await p.page.keyboard.type('74.9', { delay: 120 }); // a person's fingers
    await readback(p).filter({ hasText: '74.9' }).waitFor();
    await p.page.keyboard.press('Escape');

    await arm(p);
    await burst(p, '74,981mm');
    await readback(p).filter({ hasText: '74.981' }).waitFor();
    await picture(p.page, 'gauge-armed-390');
    equal(await waiting(p), before, 'shown large first, kept by the Keep key');
    await burst(p, '-0,02', 'Tab');
    await readback(p).filter({ hasText: '−0.02' }).waitFor();
    await says(p).filter({ hasText: 'in place of 74.981' }).waitFor();
    await burst(p, '74.9', '');
    await says(p).filter({ hasText: 'Only a part of a value came from the gauge: 74.9.' }).waitFor();
    await readback(p).filter({ hasText: '−0.02' }).waitFor();
    await burst(p, '83', 'Enter'); // the rest of it, at once
    truthy(!/Keep 83/.test(await p.page.getByTestId('keep').innerText()), 'the rest of a cut value is none');
    await p.page.waitForFunction((since) => performance.now() > since + 1100, await p.page.evaluate(() => performance.now()));
    await burst(p, '2.95202in');
    await readback(p).filter({ hasText: '2.95202' }).filter({ hasText: 'in' }).waitFor();
    await p.page.keyboard.insertText('74.982\n'); // one that comes as a keyboard of the phone's own
    await readback(p).filter({ hasText: '74.982' }).waitFor();
    await p.page.getByTestId('keep').click();
    await p.page.locator('.kept', { hasText: '74.982' }).waitFor();
    const readings = async () => (await entriesSaved(p)).filter((e) => e.waits === 1 && e.kind === 'reading');
    equal((await readings()).map((e) => e.body.value), [{ t: '74.982', u: 'mm' }], 'one entry, as it was sent');
    await eachAndOn(p, readings);
    equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await p.forget();
    await server.stop();
  }
}

/** Keep each one and go on: the next point is armed, and a second burst is never the first one's. */
async function eachAndOn(p, readings) {
  await openPoint(p, '2117', 'main.5.journal', 'b.V');
  truthy((await p.page.getByRole('button', { name: /^From the gauge/ }).getAttribute('aria-pressed')) === 'false', 'another point is not armed');
  await arm(p);
  await p.page.getByLabel('keep each one and go on').check();
  await p.page.getByText("Ready: press the gauge's button").waitFor();
  const place = () => p.page.evaluate(() => location.hash);
  const here = await place();
  await burst(p, '74.991');
  await p.page.locator('.kept', { hasText: '74.991' }).waitFor();
  await p.page.waitForFunction((h) => location.hash !== h, here);
  await p.page.getByText("Ready: press the gauge's button").waitFor();
  await p.page.waitForFunction(() => document.querySelector('.points [aria-current] .figure')?.textContent === new URLSearchParams(location.hash.split('?')[1]).get('point'));
  truthy((await place()).includes('point=b.H'), `the next point is armed: ${await place()}`);
  await burst(p, '74.992\n74.993');
  await p.page.locator('.kept', { hasText: /74\.99[23]/ }).waitFor();
  await says(p).filter({ hasText: /74\.993/ }).or(p.page.locator('.kept', { hasText: '74.993' })).first().waitFor();
  const got = (await readings()).filter((e) => /^74\.99/.test(e.body.value.t)).map((e) => [e.body.of.at, e.body.of.point, e.body.value.t]);
  equal(got.slice(0, 2), [['main.5.journal', 'b.V', '74.991'], ['main.5.journal', 'b.H', '74.992']], 'each burst at its own point');
  truthy(got.every(([, , t]) => t.length === 6), 'no two joined');
  await openPoint(p, '2117', 'main.2.journal', 'b.V'); // the person goes elsewhere
  await p.page.getByLabel('keep each one and go on').waitFor({ state: 'detached' });
}

/** One writes, one measures; and the phone goes from hand to hand (design 4, `by` and `read_by`). */
async function hands() {
  const server = await startServer({ demo: true });
  const p = await paired(server, 'fitter', 'bench phone', 'Idris Cole', { workshop: true });
  try {
    await p.page.evaluate(() => navigator.serviceWorker.ready);
    await p.offline(true);
    await openPoint(p, '2117', 'main.3.journal', 'b.V');
    await p.page.getByRole('group', { name: 'Who writes now' }).getByRole('button', { name: 'Pell Oakes' }).click();
    await p.page.locator('.hands [aria-pressed=true][aria-label="Pell Oakes"]').waitFor();
    await p.page.locator('.sitting-box > summary').click();
    await p.page.getByLabel('read by').selectOption({ label: 'Idris Cole' });
    await p.page.locator('.sitting-box > summary', { hasText: 'read by Idris Cole' }).waitFor();
    await picture(p.page, 'hands-390');
    await p.page.locator('.sitting-box > summary').click();
    await p.page.getByRole('group', { name: 'Number pad' }).focus();
    await p.page.keyboard.type('74.984');
    await p.page.getByRole('button', { name: /^Keep 74\.984/ }).click();
    await p.page.locator('.kept', { hasText: '74.984' }).waitFor();
    const mine = (await entriesSaved(p)).find((e) => e.waits === 1 && e.kind === 'reading');
    equal([mine.by, mine.body.read_by], ['pell', 'idris'], 'who wrote and who read');
    await p.page.reload();
    await openPoint(p, '2117', 'main.4.journal', 'b.V');
    await p.page.locator('.sitting-box > summary', { hasText: 'read by Idris Cole' }).waitFor(); // once per sitting
  } finally {
    await p.forget();
    await server.stop();
  }
}

async function clear(p, kinds) {
  const devtools = await p.context.newCDPSession(p.page);
  await devtools.send('Storage.clearDataForOrigin', { origin: p.origin, storageTypes: kinds });
}

async function note(p, words) {
  await open(p, '#/engine?asm=2117');
  await openPoint(p, '2117', 'main.3.journal', 'b.V');
  const pad = p.page.getByRole('group', { name: 'Number pad' });
  await pad.focus();
  await p.page.keyboard.press('Escape');
  await p.page.keyboard.type(words);
  await p.page.getByRole('button', { name: new RegExp(`^Keep ${words.replace('.', '\\.')}`) }).click();
  await p.page.locator('.kept', { hasText: words }).waitFor();
}

/** The phone clears the store and keeps the cookie: told after the reload, a new log, no number twice (T6). */
async function cleared() {
  const server = await startServer({ demo: true });
  const p = await paired(server, 'fitter', 'P9', 'Idris Cole');
  try {
    const texts = Array.from({ length: 10 }, (_, i) => `74.98${i}`);
    for (const t of texts) await note(p, t);
    await ready(p);
    const mine = (await entriesSaved(p)).filter((e) => e.body.name === 'P9' && e.kind === 'log').map((e) => e.log).at(-1);
    const own = (await entriesSaved(p)).filter((e) => e.log === mine).length;
    equal(own, 11, 'ten readings and the line that opens the log');
    await p.page.goto('about:blank');
    await clear(p, 'indexeddb');
    await p.page.goto(`${p.origin}/`);
    await p.page.getByRole('heading', { name: "This phone has cleared the app's store" }).waitFor();
    const told = await text(p);
    truthy(told.includes('It holds 11 entries from it') && /after \d{4}-\d\d-\d\d \d\d:\d\d and not handed in is gone/.test(told), `told what is held and since when: ${told}`);
    await accessible(p.page, 'cleared');
    await picture(p.page, 'cleared-390');
    await p.page.getByRole('button', { name: 'Go on with a new log' }).click();
    await p.page.getByRole('button', { name: 'Idris Cole' }).click();
    await ready(p);
    await openPoint(p, '2117', 'main.3.journal', 'b.V');
    for (const t of texts) await p.page.locator('.reading', { hasText: t }).first().waitFor();
    await note(p, '74.999');
    await ready(p);
    const all = await entriesSaved(p);
    const opened = all.filter((e) => e.body.name === 'P9' && e.kind === 'log').map((e) => e.log);
    equal(opened.length, 2, 'a second log');
    truthy(opened.some((l) => l !== mine), 'of another name');
    truthy(all.find((e) => e.kind === 'log' && e.log !== mine && e.body.name === 'P9').body.continues?.length === 64, 'which names the one that it continues');
    equal(new Set(all.map((e) => `${e.log} ${e.seq}`)).size, all.length, 'no number twice');

    // Cleared under the running page: told as soon as the store is wanted again.
    await clear(p, 'indexeddb');
    await open(p, '#/point?asm=2117&at=main.4.journal&point=b.V&cond=found');
    await p.page.getByRole('heading', { name: "This phone has cleared the app's store" }).waitFor();

    // The cookie too: an ordinary pairing, with a line about it.
    await p.context.clearCookies();
    await p.page.reload();
    await p.page.getByText('The app has been opened on this phone before.').waitFor();
    await accessible(p.page, 'pairing of a phone that was here before');
    await picture(p.page, 'pairing-again-390');
  } finally {
    await p.forget();
    await server.stop();
  }
}

const tab = 'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1';
const homeScreen = 'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Mobile/15E148';
const standalone = () => Object.defineProperty(navigator, 'standalone', { value: true });

/** The tab of an iPhone is not paired; what waits in one is handed in (T5). */
async function appleTab() {
  const server = await startServer({ demo: true });
  const stranger = await openPhone(server.origin, { userAgent: tab });
  let p;
  try {
    await stranger.page.goto(`${server.origin}/`);
    await stranger.page.getByText('Add to Home Screen').waitFor();
    equal(await stranger.page.getByLabel('Code').count(), 0, 'no code is asked for in the tab');
    await accessible(stranger.page, 'put it on the Home Screen');
    await picture(stranger.page, 'install-390');

    p = await paired(server, 'fitter', 'P2', 'Idris Cole', { lasting: true, userAgent: homeScreen, init: standalone });
    await p.page.evaluate(() => navigator.serviceWorker.ready);
    await p.offline(true);
    for (const t of ['74.981', '74.982', '74.983']) await note(p, t);
    const { profile } = p;
    await p.close();
    p = await openPhone(server.origin, { profile, userAgent: tab });
    await p.page.goto(`${server.origin}/#/phone`);
    await p.page.getByText("You are in the browser's tab").waitFor();
    await p.page.getByText('Nothing is only on this phone.').waitFor(); // handed in at once, by itself
    await ready(p);
    const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
    await openPoint(lead, '2117', 'main.3.journal', 'b.V');
    for (const t of ['74.981', '74.982', '74.983']) await lead.page.locator('.reading', { hasText: t }).first().waitFor();
    await lead.forget();
  } finally {
    await Promise.all([stranger.forget(), p?.forget()]);
    await server.stop();
  }
}

const openAt = (p, version) => p.page.evaluate((v) => new Promise((resolve, reject) => {
  const asked = indexedDB.open('witnessmark', v);
  asked.onsuccess = () => (asked.result.close(), resolve(true));
  asked.onerror = () => reject(asked.error);
}), version);

/** A newer version takes the store: this window lets go; opened again it explains and gives what waits (T42, T44). */
async function otherVersion() {
  const server = await startServer({ demo: true });
  const p = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await p.page.evaluate(() => navigator.serviceWorker.ready);
    await p.offline(true);
    await note(p, '74.981');
    const kept = (await entriesSaved(p)).length;
    await openAt(p, 2);
    await p.page.getByRole('heading', { name: 'Go on in the other window' }).waitFor();
    await accessible(p.page, 'let go');
    await p.page.getByRole('button', { name: 'Open it again here' }).click();
    await p.page.getByRole('heading', { name: 'A newer version was here' }).waitFor();
    await accessible(p.page, 'a newer version was here');
    await picture(p.page, 'newer-390');
    const coming = p.page.waitForEvent('download');
    await p.page.getByRole('button', { name: 'Save what is not handed in as a file' }).click();
    const file = await (await coming).createReadStream();
    const lines = Buffer.concat(await file.toArray()).toString().trimEnd().split('\n').map((l) => JSON.parse(l));
    equal(lines.map((e) => e.kind), ['log', 'reading'], 'the file has what waits, in order');
    equal((await entriesSaved(p)).length, kept, 'and nothing was deleted');
    equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await p.forget();
    await server.stop();
  }
}

/** What the phone says of its clock, of the office, and of a pairing that was ended. */
async function honest() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const p = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await p.page.getByTestId('phone-state').click();
    await p.page.getByRole('heading', { name: 'This phone', exact: true }).waitFor();
    const fresh = await text(p);
    for (const want of ['Nothing is only on this phone.', "Agrees with the office's.", 'Last handed in and fetched', 'It then had', 'No newer one waits.', 'a fitter: measures and hands in', 'has not promised']) {
      truthy(fresh.includes(want), `the phone says "${want}": ${fresh}`);
    }
    await p.context.route('**/exchange', async (route) => {
      const reply = await route.fetch();
      const [head, ...rest] = (await reply.text()).split('\n');
      const late = { ...JSON.parse(head), time: new Date(Date.now() + 7 * 60_000).toISOString().replace(/\.\d+Z/, 'Z') };
      await route.fulfill({ response: reply, body: [JSON.stringify(late), ...rest].join('\n') });
    });
    await p.page.getByRole('button', { name: 'Hand in and fetch' }).click();
    await p.page.getByText("About 7 minutes behind the office's.").waitFor();
    await p.context.unroute('**/exchange');

    await lead.page.evaluate(async () => {
      const { token } = await (await fetch('/api/v1/token', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{}' })).json();
      const headers = { Authorization: `Bearer ${token}` };
      const { devices } = await (await fetch('/api/v1/devices', { headers })).json();
      const { device } = devices.findLast((d) => d.name === 'P2');
      await fetch(`/api/v1/devices/${device}`, { method: 'DELETE', headers });
    });
    await note(p, '74.986');
    await p.page.getByTestId('phone-state').filter({ hasText: 'pairing ended' }).waitFor();
    const last = (await entriesSaved(p)).find((e) => e.waits === 1 && e.kind === 'reading');
    await p.page.getByTestId('phone-state').click();
    await p.page.getByRole('heading', { name: 'The office refuses this phone' }).waitFor();
    await p.page.locator('summary', { hasText: 'What is only on this phone' }).click();
    await p.page.getByRole('link', { name: /74\.986/ }).waitFor();
    await accessible(p.page, 'pairing ended');
    await picture(p.page, 'phone-ended-390');
    const { code } = server.pair('fitter');
    await p.page.getByLabel(/To pair it again/).fill(code.slice(0, 4));
    // It is tried again by itself while somebody types: what is typed stays.
    await p.context.waitForEvent('response', (r) => r.url().endsWith('/api/v1/token') && r.status() === 401);
    await p.page.getByText('Only on this phone: 2 entries. The office says').waitFor();
    await p.page.getByLabel(/To pair it again/).pressSequentially(code.slice(4));
    equal(await p.page.getByLabel(/To pair it again/).inputValue(), code, 'the code that was typed');
    await p.page.getByRole('button', { name: 'Pair again' }).click();
    await ready(p);
    await note(p, '74.988');
    await ready(p);
    const next = (await entriesSaved(p)).find((e) => e.log === last.log && e.seq === last.seq + 1);
    equal(next?.body.value?.t, '74.988', 'the same log goes on (T51): what follows the last of before');
  } finally {
    await Promise.all([lead.forget(), p.forget()]);
    await server.stop();
  }
}

const without = () => {
  for (const [of, name] of [[Navigator.prototype, 'wakeLock'], [Navigator.prototype, 'vibrate'], [StorageManager.prototype, 'persist'], [StorageManager.prototype, 'persisted'], [Navigator.prototype, 'setAppBadge'], [Navigator.prototype, 'share']]) delete of[name];
};
const throwing = () => {
  const no = () => { throw new DOMException('not here', 'NotAllowedError'); };
  Object.defineProperty(Navigator.prototype, 'wakeLock', { get: no });
  for (const [of, name] of [[Navigator.prototype, 'vibrate'], [StorageManager.prototype, 'persist'], [StorageManager.prototype, 'persisted'], [Navigator.prototype, 'setAppBadge'], [Navigator.prototype, 'share']]) of[name] = no;
};

const refusing = () => { StorageManager.prototype.persist = StorageManager.prototype.persisted = async () => false; };
/** Grants when it is asked, and not before: nothing has been kept then. */
const granting = () => {
  let granted = false;
  StorageManager.prototype.persist = async () => (granted = true);
  StorageManager.prototype.persisted = async () => granted;
};

/** A phone that lacks the extras, or whose extras throw, keeps a reading and says so on the screen (T64, T4). */
async function noExtras() {
  const server = await startServer({ demo: true });
  try {
    for (const [init, promised] of [[without, false], [throwing, false], [refusing, false], [granting, true]]) {
      const p = await paired(server, 'fitter', 'P2', 'Idris Cole', { init });
      await note(p, '74.987');
      await p.page.locator('.said', { hasText: 'Saved on this phone' }).waitFor({ state: 'attached' });
      await ready(p);
      equal(p.complaints, [], 'nothing threw');
      equal(await p.page.getByText('Not saved').count(), 0, 'what was kept is not called lost');
      await open(p, '#/phone');
      await p.page.getByText(promised ? 'The browser has promised to keep it.' : 'The browser has not promised to keep it').waitFor();
      await p.forget();
    }
  } finally {
    await server.stop();
  }
}

/** Whatever can be touched is at least 48 px, keys of the pad 64 px and 8 px apart (T61). */
async function measured(p, where) {
  const small = await p.page.evaluate(() =>
    [...document.querySelectorAll('button, select, input:not([type=radio]):not([type=checkbox]), summary, .button, nav a, label.choice, .phone-state')]
      .filter((e) => e.checkVisibility())
      .map((e) => [e.getBoundingClientRect(), e.outerHTML.slice(0, 90)])
      .filter(([r]) => r.width > 0 && (r.height < 47.5 || r.width < 43.5))
      .map(([r, html]) => `${Math.round(r.width)}×${Math.round(r.height)} ${html}`));
  equal(small, [], `targets under 48 px on ${where}`);
  const keys = await p.page.locator('.key').evaluateAll((all) => all.map((k) => k.getBoundingClientRect().toJSON()));
  equal(keys.filter((k) => k.width < 64 || k.height < 64), [], `keys under 64 px on ${where}`);
  const apart = (a, b) => Math.max(Math.max(a.left, b.left) - Math.min(a.right, b.right), Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom));
  const close = keys.flatMap((a, i) => keys.slice(i + 1).filter((b) => apart(a, b) < 7.99));
  equal(close, [], `keys nearer than 8 px on ${where}`);
}

async function bothSizesBothLights() {
  const server = await startServer({ demo: true });
  try {
    for (const [size, dark] of [[phoneSize, false], [phoneSize, true], [deskSize, false], [deskSize, true]]) {
      const p = await paired(server, 'fitter', 'bench phone', 'Idris Cole', { size, dark, workshop: true });
      const name = (screen) => `${screen}-${size.width}-${dark ? 'pit' : 'day'}`;
      await openPoint(p, '2117', 'main.3.journal', 'b.V');
      await measured(p, name('point'));
      await picture(p.page, name('own-point'));
      await arm(p);
      await burst(p, '74.981');
      await readback(p).filter({ hasText: '74.981' }).waitFor();
      await accessible(p.page, name('armed'));
      await measured(p, name('armed'));
      await picture(p.page, name('own-armed'));
      await open(p, '#/phone');
      await p.page.locator('.facts').waitFor();
      await accessible(p.page, name('phone'));
      await measured(p, name('phone'));
      await picture(p.page, name('own-phone'));
      await open(p, '#/job');
      await p.page.getByRole('link', { name: 'How this phone stands' }).waitFor();
      await accessible(p.page, name('job'));
      await p.page.goto('about:blank');
      await clear(p, 'indexeddb');
      await p.page.goto(`${p.origin}/`);
      await p.page.getByRole('button', { name: 'Go on with a new log' }).waitFor();
      await accessible(p.page, name('cleared'));
      await measured(p, name('cleared'));
      await picture(p.page, name('own-cleared'));
      await p.forget();
    }
  } finally {
    await server.stop();
  }
}

export const cases = [
  ['gauges that type', gauges],
  ['whose hands', hands],
  ['a store that the phone cleared', cleared],
  ['the tab of an iPhone', appleTab],
  ['another version of the app', otherVersion],
  ['what the phone says of itself', honest],
  ['extras absent and throwing', noExtras],
  ['both sizes, both lights, measured', bothSizesBothLights],
];
