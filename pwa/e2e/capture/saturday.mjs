// A whole Saturday under the vehicle with no signal: sixty readings, six photos, a voice note, a hold test, three mistakes
// mended, the browser killed four times. Then it is handed in, and a phone that was not there has it all, once.
import { equal, microphone, openPhone, startServer, truthy } from '../lib.mjs';
import { installed, open, paired, waiting } from '../steps.mjs';

const photoFile = new URL('../../../testdata/demo/gk-7.jpg', import.meta.url).pathname;
const more = (p, n) => p.page.waitForFunction((least) => Number.parseInt(document.querySelector('[data-testid=phone-state]')?.textContent ?? '0', 10) > least, n);

/** Every point that is measured that day, with what is read there. */
const points = [];
for (const [row, n, names, size] of [['main', 7, ['b.V', 'b.H'], 74_970], ['pin', 6, ['a.V', 'a.H', 'b.V', 'b.H', 'c.V', 'c.H'], 61_940]]) {
  for (let i = 1; i <= n; i++) for (const [k, name] of names.entries()) points.push([`${row}.${i}.journal`, name, ((size + i * 3 + k) / 1000).toFixed(3)]);
}
for (let i = 1; i <= 5; i++) for (const name of ['top.thrust', 'bottom.thrust']) points.push([`cyl.${i}.liner`, name, (107.01 + i / 1000).toFixed(3)]);

const place = (at, point) => `#/point?asm=2117&at=${at}&point=${point}&cond=found`;

async function type(p, text) {
  const pad = p.page.getByRole('group', { name: 'Number pad' });
  await pad.focus();
  await p.page.keyboard.press('Escape');
  await p.page.keyboard.type(text);
  await p.page.waitForFunction((t) => document.querySelector('[data-testid=keep]')?.textContent?.includes(t), text);
}

async function measure(p, at, point, text, hash = place(at, point)) {
  await open(p, hash);
  await p.page.locator(`[data-testid=keep]`).waitFor();
  await p.page.locator(`.pad[data-at="pad:2117/${at}/${point}/found"]`).waitFor(); // the pad of this point, no more that of the one before
  const before = await waiting(p);
  await type(p, text);
  await p.page.getByTestId('keep').click();
  const asks = p.page.getByText('Keep it as it stands');
  await Promise.race([more(p, before), asks.waitFor()]).catch(() => undefined);
  if (await asks.isVisible()) await p.page.getByTestId('keep').click();
  await more(p, before);
  await p.page.locator('.kept', { hasText: text }).waitFor(); // said once the page has gone on to the next point
}

async function photo(p, at) {
  await open(p, place(at, 'b.V'));
  const before = await waiting(p);
  await p.page.locator('input[type=file]').setInputFiles(photoFile);
  await more(p, before);
}

async function voice(p) {
  await open(p, place('main.1.journal', 'b.V'));
  await p.page.getByRole('button', { name: 'Record a voice note' }).click();
  await p.page.locator('.voice-bar', { hasText: 'Recording' }).waitFor();
  await p.page.locator('.voice-bar', { hasText: '0:02' }).or(p.page.locator('.voice-bar', { hasText: /2\ss/ })).first().waitFor();
  const before = await waiting(p);
  await p.page.locator('.voice-bar').getByRole('button', { name: /stop/i }).click();
  await more(p, before);
}

/** Undone at once, corrected, taken back with a reason. */
async function mistakes(p) {
  await measure(p, 'cyl.6.liner', 'top.thrust', '106.111');
  let before = await waiting(p);
  await p.page.getByTestId('undo').click();
  await more(p, before);
  await open(p, place('main.1.journal', 'b.V'));
  await p.page.locator('.reading', { hasText: points[0][2] }).first().press('Enter');
  await p.page.getByRole('link', { name: 'Correct it' }).click();
  await p.page.waitForFunction(() => location.hash.includes('over='));
  await measure(p, 'main.1.journal', 'b.V', '74.972', await p.page.evaluate(() => location.hash));
  await measure(p, 'cyl.6.liner', 'bottom.thrust', '106.222');
  await p.page.locator('.pad[data-at="pad:2117/cyl.1.gap//found"]').waitFor(); // the walk goes on to a place without points, and takes none along
  await open(p, place('cyl.6.liner', 'bottom.thrust'));
  await p.page.locator('.reading', { hasText: '106.222' }).first().press('Enter');
  await p.page.getByLabel('Why').fill('read the wrong liner');
  before = await waiting(p);
  await p.page.getByRole('button', { name: 'Take it back' }).click();
  await more(p, before);
}

async function hold(p) {
  await open(p, '#/hold?asm=2117');
  await p.page.getByRole('heading', { name: 'Begin a hold test' }).waitFor();
  await p.page.getByLabel('What is held').selectOption('oil');
  await p.page.getByLabel('Hold for, minutes').fill('15');
  const before = await waiting(p);
  for (const [heading, text] of [[/pressure/i, '0.700'], [/temperature/i, '16']]) {
    await p.page.getByRole('heading', { name: heading }).waitFor();
    await type(p, text);
    await p.page.getByTestId('keep').click();
  }
  await p.page.getByRole('button', { name: /Start/ }).click();
  await more(p, before);
}

/** What the phone's store holds of a log, in order. */
const entries = (p) => p.page.evaluate(() => new Promise((resolve, reject) => {
  const asked = indexedDB.open('witnessmark');
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const all = asked.result.transaction('entries').objectStore('entries').getAll();
    all.onsuccess = () => {
      asked.result.close();
      resolve(all.result.map((e) => ({ id: e.id, log: e.log, seq: e.seq, raw: e.raw })));
    };
  };
}));

/** Notes the most that the phone ever said is on it alone: with no signal that only grows, and more than there is must never stand there. */
function noteMost() {
  globalThis.most = 0;
  new MutationObserver(() => {
    globalThis.most = Math.max(globalThis.most, Number.parseInt(document.querySelector('[data-testid=phone-state]')?.textContent ?? '0', 10) || 0);
  }).observe(document, { subtree: true, childList: true, characterData: true });
}

async function saturday() {
  const server = await startServer({ demo: true });
  let p = await paired(server, 'fitter', 'P2', 'Idris Cole', { lasting: true, flags: microphone, init: noteMost });
  const { profile } = p;
  const killed = async () => {
    const before = await waiting(p);
    const most = await p.page.evaluate(() => globalThis.most);
    await p.kill();
    p = await openPhone(server.origin, { profile, flags: microphone, init: noteMost });
    await p.offline(true);
    await p.page.goto(`${server.origin}/`);
    await p.page.locator('.drawing svg').filter({ visible: true }).first().waitFor();
    const there = await waiting(p);
    equal([before, most], [there, there], 'what was said to be on this phone alone when it was killed, and at the most');
  };
  try {
    equal(await installed(p), 'activated', 'the app is kept on the phone');
    await p.offline(true);
    equal(points.length, 60, 'readings of the day');
    for (const [i, [at, point, text]] of points.entries()) {
      await measure(p, at, point, text);
      if (i % 10 === 9) await photo(p, `main.${1 + Math.floor(i / 10)}.journal`);
      if ([14, 29, 44].includes(i)) await killed();
    }
    await voice(p);
    await hold(p);
    await killed();
    await mistakes(p);
    const mine = await entries(p);
    const { log } = mine.find((e) => e.raw.includes('"kind":"voice"'));
    const own = mine.filter((e) => e.log === log);
    equal(own.map((e) => e.seq).sort((a, b) => a - b), own.map((_, i) => i + 1), 'the log is a chain without a gap');
    await p.offline(false);
    // Chromium writes cookies out twice a minute: killed before that, the phone has lost its secret, and nothing else.
    await open(p, '#/phone');
    const again = p.page.getByRole('button', { name: 'Pair again' });
    await again.or(p.page.getByText('all handed in')).first().waitFor({ timeout: 60_000 });
    if (await again.isVisible()) {
      await p.page.getByLabel(/pair it again/i).fill(server.pair('fitter').code);
      await again.click();
    }
    await p.page.getByText('all handed in').waitFor({ timeout: 60_000 });
    const other = await paired(server, 'fitter', 'P4', 'Pell Oakes', { flags: microphone });
    const theirs = await entries(other);
    equal(theirs.map((e) => e.id).sort(), mine.map((e) => e.id).sort(), 'the other phone has every entry, once');
    const bodies = own.map((e) => JSON.parse(e.raw));
    equal(['reading', 'photo', 'voice', 'hold-test', 'withdraw'].map((k) => bodies.filter((e) => e.kind === k).length), [63, 6, 1, 1, 2], 'readings, photos, voice notes, hold tests, withdrawals');
    await open(other, place('main.1.journal', 'b.V'));
    await other.page.locator('.reading', { hasText: '74.972' }).waitFor();
    truthy(await other.page.locator('.struck', { hasText: points[0][2] }).isVisible(), 'the mistake stands struck through');
    equal([...p.complaints, ...other.complaints], [], 'the page kept to its policy');
    await other.forget();
  } finally {
    await p.forget();
    await server.stop();
  }
}

export const cases = [['a whole Saturday with no signal', saturday]];
