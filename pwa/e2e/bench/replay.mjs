// The invented first starts as they stand in the log of the bench tablet, typed again through the screens of a phone: every
// reading and event has to come out as it was, at its own second. The page's two clocks are this file's and stand still between
// its steps; the page's timers are real. `make replay SPEED=1` plays at the pace of the bench.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pace } from 'node:timers/promises';
import { equal, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';
import { begun, figures } from './steps.mjs';

const file = join(import.meta.dirname ?? new URL('.', import.meta.url).pathname, '..', '..', '..', 'testdata', 'demo', 'T1.ndjson');

/** The runs of one engine in the tablet's log, each with what was logged of it, in the order of their times. */
function runs() {
  const lines = readFileSync(file, 'utf8').trim().split('\n');
  const entries = lines.map((raw) => ({ id: createHash('sha256').update(raw).digest('hex'), ...JSON.parse(raw) })).filter((e) => e.kind === 'run');
  const logged = (id) => entries.filter((e) => e.body.run === id && e.body.does !== 'samples').toSorted((a, b) => Number(a.body.elapsed.t) - Number(b.body.elapsed.t)); // stable: as written
  return entries.filter((e) => e.body.does === 'start' && e.body.with === undefined).map((e) => ({ id: e.id, start: e.body, lines: logged(e.id).map((l) => l.body) }));
}

/** Both clocks of a page, in ms since it was opened, as long as a hand holds them. */
const held = () => {
  const from = Date.now();
  globalThis.benchClock = 0;
  Date.now = () => from + globalThis.benchClock;
  performance.now = () => globalThis.benchClock;
};

/** Moves the bench on to a second of the run, at so many times the speed of the real one. */
function clockOf(page, speed) {
  let now = 0;
  return async (second) => {
    while (now < second) {
      const step = Math.min(Math.max(1, speed / 4), second - now);
      now += step;
      await page.evaluate((ms) => (globalThis.benchClock = ms), now * 1000);
      await pace((step * 1000) / speed);
    }
  };
}

/** One line of the log through the screen, as a hand would do it. */
async function done(phone, l) {
  const { page } = phone;
  if (l.does === 'stop') return page.getByTestId('stopped').click();
  if (l.does === 'sample') return read(phone, l);
  if (l.event === 'fired') return page.getByTestId('fired').click();
  if (l.event === 'station') return page.locator('.stations').getByRole('button', { name: new RegExp(`^${l.station}\\srpm$`) }).click();
  if (l.event === 'note') {
    await page.locator('summary', { hasText: 'A word or a photo' }).click();
    await page.getByLabel('In words').fill(l.words);
    await page.getByRole('button', { name: 'Keep it' }).click();
    return page.locator('summary', { hasText: 'A word or a photo' }).click();
  }
  await page.getByTestId(`event-${l.event}`).click();
  if (l.words !== undefined) {
    await page.getByTestId('where').getByLabel('In words').fill(l.words);
    await page.getByTestId('where').getByRole('button', { name: 'Keep it' }).click();
    await page.getByTestId('where').waitFor({ state: 'detached' });
  }
}

async function read({ page }, l) {
  const tile = page.getByTestId(`tile-${l.what}`);
  if ((await tile.count()) === 0) await page.getByLabel('Another gauge').selectOption(l.what);
  truthy(l.value.to === undefined && l.value.is === undefined, 'the log of the bench has plain figures');
  await tile.click();
  await figures({ page }, l.value.t);
}

/** What stands in the log on the screen; a leak that was told more exactly leaves its first line struck. */
const log = (page) => page.locator('.run-log .reading').evaluateAll((rows) => rows.filter((r) => r.querySelector('s') === null).map((r) => [...r.querySelectorAll('span')].slice(0, 2).map((s) => s.textContent).join(' ')));

const logHolds = (page, n) => page.waitForFunction((count) => [...document.querySelectorAll('.run-log .reading')].filter((r) => r.querySelector('s') === null).length === count, n);

/** Types the n-th run of one engine again, and holds its log against the one that stands. */
export async function replayed(n, speed) {
  const run = runs()[n - 1];
  const asm = run.start.of.asm;
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris', { init: held });
  const { page } = phone;
  try {
    await open(phone, `#/run?asm=${asm}&id=${run.id}`);
    await page.getByRole('heading', { name: `Report, ${asm}` }).waitFor();
    const was = await log(page);
    truthy(was.length >= run.lines.length, `${was.length} lines stand, ${run.lines.length} are typed`);
    await begun(phone, { asm, title: run.start.title, ...(run.start.most === undefined ? {} : { most: run.start.most.t }) });
    await phone.offline(true);
    const until = clockOf(page, speed);
    let stand = 0;
    for (const l of run.lines) {
      await until(Number(l.elapsed.t));
      await done(phone, l);
      if (l.does !== 'stop') await logHolds(page, ++stand);
    }
    await page.getByRole('heading', { name: `Report, ${asm}` }).waitFor();
    equal(await log(page), was, `${run.start.title} of ${asm}, typed again`);
    await phone.offline(false);
    await ready(phone);
    equal(phone.complaints, [], 'the page kept to its policy');
    return run.lines.length;
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [
  ['the first start typed again at 20 times its speed', () => replayed(1, 20)],
  ['the start that leaked typed again at 60 times its speed', () => replayed(2, 60)],
];
