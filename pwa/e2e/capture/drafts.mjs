// What is half filled in comes back when the page went, on the screens that ask for something (T3).
import { equal, startServer, truthy } from '../lib.mjs';
import { keptOnce, open, paired, stored, watch } from '../steps.mjs';

const summary = (words) => (page) => page.locator('summary', { hasText: words }).first().click();
const button = (name) => (page) => page.getByRole('button', { name, exact: true }).click();

/**
 * Each screen: its address or the first link to one on another, how its fields are reached, what goes into each by its label (a
 * number chooses from a list), and what else comes back.
 */
const screens = [
  { hash: '#/tighten?asm=2123&joint=head&cond=trial%3AGK-7', fill: { tool: 1, thread: 'dry' }, tap: '[data-fastener="9"]', says: /^Stud 9 done/ },
  { hash: '#/job', reach: summary('Check a zero'), fill: { Instrument: 1, Bar: '75.000', 'It read': '75.003' } },
  { hash: '#/first', reach: summary('How it is numbered'), fill: { 'Left is': 'position Q' } },
  { hash: '#/clutch', reach: (page) => page.locator('.cell').first().click(), fill: { 'In words, if there are any': 'drags on the bank' } },
  { hash: '#/job', reach: summary('Instrument'), fill: { Tag: 'M9', 'One step of its scale': '0.001' } },
  { hash: '#/today', link: 'contest', fill: { 'Why it is so': 'read twice by the lamp' } },
  { hash: '#/point?asm=2123&at=pin.4.journal&point=b.V&cond=found', link: 'entry', fill: { Why: 'the anvil was dirty' } },
  { hash: '#/point?asm=2117&at=main.1.journal&point=c.H&cond=built', reach: summary('Skip this point'), fill: { 'Another reason': 'under the bracket' } },
  { hash: '#/gasket', fill: { Why: 'both hold at it' } },
  { hash: '#/stages', reach: (page) => page.locator('.hold-point summary').last().click(), fill: { 'Why it may go on all the same': 'the pump is tried later' } },
  { hash: '#/part?part=SH-2123', reach: button('Fit it'), fill: { Into: 1, At: 1 } },
  { hash: '#/run?asm=2117', reach: summary(/limit/i), fill: { 'Speed, rpm': '850', 'At least': '1.4', In: 'psi' } },
];

const field = (page, label) => page.locator('label:visible', { hasText: new RegExp(`^${label}`) }).locator('input, textarea, select').first();

async function come({ hash, link, reach }, phone) {
  await open(phone, hash);
  if (link !== undefined) await phone.page.locator(`main a[href^="#/${link}?"]`).first().click();
  await reach?.(phone.page);
}

async function fillIn({ fill, tap }, page) {
  for (const [label, what] of Object.entries(fill)) {
    const box = field(page, label);
    if ((await box.evaluate((e) => e.localName)) === 'select') await box.selectOption(typeof what === 'number' ? { index: what } : what);
    else await box.fill(what);
  }
  if (tap !== undefined) await page.locator(tap).first().click();
}

/** What the fields show. */
const shown = async ({ fill }, page) => Promise.all(Object.keys(fill).map((label) => field(page, label).inputValue()));

/** Waits until all of these are half filled in on the disk. */
async function onDisk(phone, all, where) {
  for (const late = Date.now() + 30_000; ;) {
    const drafts = JSON.stringify(await stored(phone, 'drafts'));
    if (all.every((v) => drafts.includes(v))) return;
    truthy(Date.now() < late, `${where}: ${all.join(', ')} not among what is half filled in: ${drafts}`);
  }
}

/** Fills a screen in and waits until the last of it is on the disk. Returns where that was, and what the fields show. */
async function half(screen, phone) {
  await come(screen, phone);
  await fillIn(screen, phone.page);
  const want = await shown(screen, phone.page);
  truthy(want.every((v) => v !== ''), `${screen.hash}: filled in`);
  const all = [...want, ...(screen.tap === undefined || screen.says === undefined ? [] : ['9'])].map((v) => JSON.stringify(v));
  await onDisk(phone, all, screen.hash);
  return { at: await phone.page.evaluate(() => location.hash), want };
}

async function isBack(screen, { at, want }, phone) {
  const { page } = phone;
  await come({ ...screen, hash: at, link: undefined }, phone);
  await page.waitForFunction((values) => {
    const there = [...document.querySelectorAll('input, textarea, select')].map((e) => e.value);
    return values.every((v) => there.includes(v));
  }, want);
  equal(await shown(screen, page), want, `${screen.hash}: what was half filled in`);
  if (screen.says !== undefined) await page.getByRole('button', { name: screen.says }).waitFor();
}

/** Forms of one entry: how they are reached and filled in, their button, what can stand in no other draft, and in no other entry where that is written otherwise. */
const forms = [
  { hash: '#/job', reach: summary('Check a zero'), fill: { Instrument: 1, Bar: '75.000', 'It read': '75.0037' }, button: 'Keep the zero check', mark: '75.0037' },
  { hash: '#/job', reach: summary('People'), fill: { Name: 'Ottilie Marsh' }, button: 'Keep the person', mark: 'Ottilie Marsh' },
  { hash: '#/job', reach: summary('Instrument'), fill: { Tag: 'M9', 'What it is': 'a bore gauge in its box', 'One step of its scale': '0.001', 'What its certificate': '0.004' }, button: 'Keep the instrument', mark: 'a bore gauge in its box' },
  { hash: '#/parts', reach: summary('Enter a part, or a lot'), fill: { 'Tag, or lot': 'GK-90', 'What it is': 'a gasket of copper' }, button: 'Keep the part', mark: 'a gasket of copper' },
  { hash: '#/run?asm=2117', reach: summary(/limit/i), fill: { 'Speed, rpm': '870', 'At least': '1.4', 'Who says so, word for word': 'the plate on the block' }, button: 'Set it', mark: '"at":"870"', entry: 'oilpressure.min.870' },
];

export const cases = [['what is kept is half filled in no more, from the same moment', async () => {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const { page } = phone;
  try {
    await phone.offline(true); // so that no entry comes but what is kept here
    for (const form of forms) {
      await half(form, phone);
      await watch(page, form.mark, form.entry);
      await page.getByRole('button', { name: form.button, exact: true }).click();
      await keptOnce(page);
    }
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}], ['what is typed while a form is being kept stays, and is half filled in', async () => {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const { page } = phone;
  // An engine and its side are two entries, and the draft ends with the second: what is typed at the tap is a draft before that.
  const form = { hash: '#/job', reach: summary(/^Engine$/), fill: { Serial: '7777', 'Its name': 'Ottilie', 'It is now': 1 } };
  try {
    await half(form, phone);
    const later = { ...form, fill: { 'Its name': 'Ottilie the younger' } };
    await field(page, 'Its name').evaluate((box, more) => {
      box.form.requestSubmit();
      box.value = more;
      box.dispatchEvent(new InputEvent('input', { bubbles: true }));
    }, later.fill['Its name']);
    await page.getByText('Saved on this phone.').waitFor();
    equal(await shown(later, page), [later.fill['Its name']], 'what the form shows');
    await onDisk(phone, ['"Ottilie the younger"'], 'typed meanwhile');
    await page.reload();
    await page.getByTestId('phone-state').waitFor();
    await isBack(later, { at: form.hash, want: [later.fill['Its name']] }, phone);
    equal((await stored(phone, 'entries')).filter((e) => JSON.stringify(e).includes('Ottilie')).length, 1, 'entries that it was kept as');
  } finally {
    await phone.forget();
    await server.stop();
  }
}], ['what is typed while a note is being kept stays with its place, also when that is left at once', async () => {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const { page } = phone;
  const form = { hash: '#/point?asm=2117&at=main.1.journal&point=c.H&cond=built', fill: { Note: 'a file mark at the oilway' } };
  const more = 'and a second one by it';
  try {
    await half(form, phone);
    await field(page, 'Note').evaluate((box, [text, next]) => {
      box.form.requestSubmit();
      box.value = text;
      box.dispatchEvent(new InputEvent('input', { bubbles: true }));
      location.hash = next;
    }, [more, form.hash.replace('main.1', 'main.2')]);
    await page.getByText('Note saved on this phone.').waitFor();
    equal(await field(page, 'Note').inputValue(), '', 'the note of the place come to');
    await onDisk(phone, [JSON.stringify(more)], 'typed meanwhile');
    await isBack({ ...form, fill: { Note: more } }, { at: form.hash, want: [more] }, phone);
  } finally {
    await phone.forget();
    await server.stop();
  }
}], ['half filled in comes back on every screen that asks', async () => {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  try {
    const halves = [];
    for (const screen of screens) halves.push(await half(screen, phone));
    await phone.page.reload();
    await phone.page.getByTestId('phone-state').waitFor();
    for (const [i, screen] of screens.entries()) await isBack(screen, halves[i], phone);
    const entry = screens.findIndex((x) => x.link === 'entry');
    await isBack(screens[entry], halves[entry], phone);
    await phone.page.getByRole('button', { name: 'Take it back' }).click();
    await phone.page.getByText('Taken back.').waitFor();
    equal(await field(phone.page, 'Why').inputValue(), '', 'what was kept is filled in no more');
    equal(JSON.stringify(await stored(phone, 'drafts')).includes('the anvil was dirty'), false, 'what was kept is half filled in');
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}]];
