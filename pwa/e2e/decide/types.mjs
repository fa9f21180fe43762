// An engine type without a programmer: made from the small form while the drawing follows, changed line by line with old
// beside new, taken to another workshop as a file.
import { readFileSync } from 'node:fs';
import { accessible, deskSize, equal, openPhone, picture, startServer, truthy } from '../lib.mjs';
import { begin, looks, open, paired, ready } from '../steps.mjs';

/** A workshop in which nothing has been set up but its first lead. */
async function empty() {
  const server = await startServer();
  const phone = await openPhone(server.origin, { size: deskSize });
  const { page } = phone;
  await begin(server, page);
  await page.locator('.first-steps > li.now').getByLabel(/^Name/).fill('Ada Holt');
  await page.getByRole('button', { name: 'Keep the person' }).click();
  await page.locator('.first-steps summary').getByText('done: Ada Holt').waitFor();
  return { server, phone };
}

const fill = (page, label, text) => page.getByLabel(label, { exact: true }).fill(text);

async function saved(page, button) {
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: button }).click();
  return readFileSync(await (await coming).path(), 'utf8');
}

async function fromForm() {
  const { server, phone } = await empty();
  const { page } = phone;
  const other = await empty();
  try {
    await open(phone, '#/type');
    await page.getByText('The drawing begins with the number of cylinders.').waitFor();
    await page.getByRole('button', { name: 'Keep the type' }).click();
    await page.getByText('call it as it stands on its plate').waitFor();
    await fill(page, 'Cylinders', '4');
    await page.locator('.type-drawings svg .pl', { hasText: 'cyl 4' }).waitFor(); // it draws before anything else is known
    const mains = page.locator('.type-drawings .pl.journal .pl-name', { hasText: /^main/ });
    equal(await mains.count(), 5, 'a main beside each cylinder');
    await fill(page, 'Main bearings', '3');
    await mains.nth(3).waitFor({ state: 'detached' });
    equal(await mains.count(), 3, 'as many mains as were said');
    await fill(page, 'Firing order', '1 3 4 4');
    await page.getByText('each cylinder once, from 1 to 4').waitFor();
    await fill(page, 'Firing order', '1-3-4-2');
    await page.getByText('each cylinder once, from 1 to 4').waitFor({ state: 'detached' });
    await fill(page, 'Name', 'Quill Q4');
    await fill(page, 'One end is called', 'fan end');
    await fill(page, 'The other', 'clutch end');
    await fill(page, 'Valves of cylinder 1, from the first end; the next is its mirror', 'E I');
    await page.locator('.type-drawings svg .pl.valve', { hasText: 'E4' }).waitFor();
    await fill(page, 'Head studs', '10');
    await page.locator('.type-drawings .joint-map .fastener', { hasText: '10' }).waitFor();
    await fill(page, 'Bore, mm', '3 1/2 in');
    await fill(page, 'Main journal, new, largest, mm', '50.000');
    await looks(page, 'type-new');
    await page.reload(); // what is half filled in outlives the page (T3)
    await page.locator('.type-drawings .joint-map').waitFor();
    await page.getByRole('button', { name: 'Keep the type' }).click();
    await page.getByRole('heading', { name: /^Quill Q4/ }).waitFor();

    await page.locator('summary', { hasText: 'Nominal sizes' }).click();
    await page.getByLabel('cylinder · liner bore').fill('88.90 mm');
    await page.getByTestId('changes').getByText('88.90').waitFor();
    truthy((await page.getByTestId('changes').innerText()).includes('3 1/2'), 'the old size stands beside the new one');
    await page.locator('summary', { hasText: 'Joints and their fasteners' }).click();
    await page.locator('.type-drawings [data-fastener="10"]').click();
    await page.getByLabel('cylinder head, 10: Across it').fill('900');
    await page.getByTestId('changes').getByText('900').waitFor();
    await page.getByLabel('Order of tightening').fill('1 2');
    await page.getByText('must name each fastener once').waitFor();
    truthy(await page.getByRole('button', { name: 'Keep the changed type' }).isDisabled(), 'what is wrong is not kept');
    await page.getByLabel('Order of tightening').fill('3 8 4 9 2 7 5 10 1 6');
    await looks(page, 'type-change');
    await page.getByRole('button', { name: 'Keep the changed type' }).click();
    await page.getByRole('heading', { name: 'Engine types' }).waitFor();
    await looks(page, 'types');
    const file = await saved(page, 'Save it as a file');
    equal(JSON.parse(file).format, 'type-sheet/1', 'what the file is');

    await open(other.phone, '#/types');
    const there = other.phone.page;
    await there.locator('input[type=file]').setInputFiles({ name: 'notes.json', mimeType: 'application/json', buffer: Buffer.from('{"format":"recipe"}') });
    await there.getByText('this file is something else: recipe').waitFor();
    await open(other.phone, '#/types');
    await there.locator('input[type=file]').setInputFiles({ name: 'q4.json', mimeType: 'application/json', buffer: Buffer.from(file) });
    await there.getByText('A type that is not here yet. Nothing is kept yet.').waitFor();
    await there.getByRole('button', { name: 'Keep the type' }).click();
    await there.getByRole('heading', { name: 'Engine types' }).waitFor();
    equal(await saved(there, 'Save it as a file'), file, 'the file of the other workshop');
    for (const p of [phone, other.phone]) equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await other.phone.forget();
    await server.stop();
    await other.server.stop();
  }
}

/** A place that readings hang on does not go without a word, and none of them is lost. */
async function placeGoes() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const { page } = maud;
  try {
    await open(maud, '#/type?key=ellandry-u6');
    await page.locator('summary', { hasText: 'Places, sheet by sheet' }).click();
    await page.locator('summary', { hasText: 'crank · end float' }).click();
    await page.locator('.type-place[open]').getByRole('button', { name: 'Take it off the sheet' }).click();
    await page.getByText(/^2123 · crank · end float goes: .*reading.* in the log/).waitFor();
    await page.getByRole('button', { name: 'Keep the changed type' }).click();
    await page.getByText('tick that it is meant').waitFor();
    await accessible(page, 'a type that loses a place');
    await picture(page, 'type-loses-1280-day');
    await page.getByLabel('That is meant').check();
    await page.getByRole('button', { name: 'Keep the changed type' }).click();
    await page.getByRole('heading', { name: 'Engine types' }).waitFor();
    await open(maud, '#/job');
    await page.getByText('the type sheet of 2123 has no place crank.float').first().waitFor();
    await page.getByTestId('undo').click();
    await page.getByTestId('undone').waitFor();
    await page.getByText('the type sheet of 2123 has no place crank.float').first().waitFor({ state: 'detached' });
    await ready(maud);
    equal(maud.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await server.stop();
  }
}

/** A type has a cylinder fewer than was thought: what stands there is said, kept, shown as unusable, and counts again with the sixth. */
async function countChanges() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const { page } = maud;
  const keepIt = page.getByRole('button', { name: 'Keep the changed type' });
  const six = page.locator('.type-drawings svg .pl', { hasText: 'cyl 6' });
  try {
    await open(maud, '#/type?key=ellandry-u6');
    await six.first().waitFor();
    await fill(page, 'Cylinders', 'five');
    await page.getByText('a whole number from 1 to 16').waitFor();
    await fill(page, 'Cylinders', '5');
    await six.first().waitFor({ state: 'detached' });
    equal(await page.getByLabel('Main bearings', { exact: true }).inputValue(), '6', 'the mains follow');
    await fill(page, 'Head studs', '22');
    await page.locator('.type-drawings .joint-map [data-fastener="26"]').waitFor({ state: 'detached' });
    await page.getByText(/^2117 · cylinder 6 goes: .*readings.* in the log and .* shown as 'no such place'/).waitFor();
    await page.getByText(/^2117 · cylinder head stud 26 goes: .*tightenings/).waitFor();
    await page.getByText(/^2117 · cylinder head: its studs are numbered anew.*tightenings/).waitFor();
    await page.getByTestId('changes').getByText('Firing order').waitFor();
    await page.getByLabel('Head studs', { exact: true }).scrollIntoViewIfNeeded();
    await looks(page, 'type-counts');
    await page.locator('.notice.warn').scrollIntoViewIfNeeded();
    await picture(page, 'type-counts-lost-1280-day');
    await keepIt.click();
    await page.getByText('tick that it is meant').waitFor();
    await page.getByLabel('That is meant').check();
    await keepIt.click();
    await page.getByRole('heading', { name: 'Engine types' }).waitFor();
    await page.getByText(/^5 cylinders, 6 main bearings, 10 valves/).waitFor();
    await open(maud, '#/job');
    const gone = page.getByText(/reading by .*: no such place: the type sheet of 2117 has no place cyl\.6\./);
    await gone.first().waitFor();
    await page.getByText(/no such place: the type sheet of 2117 has no fastener .*26.* on the cylinder head/).first().waitFor();
    await page.getByText('no such place').first().scrollIntoViewIfNeeded();
    await picture(page, 'type-counts-unusable-1280-day');

    await open(maud, '#/type?key=ellandry-u6');
    await fill(page, 'Cylinders', '6');
    await six.first().waitFor();
    await fill(page, 'Head studs', '26');
    await fill(page, 'Firing order', '1 5 3 6 2 4');
    await page.getByTestId('changes').getByText('1 5 3 6 2 4').waitFor();
    if (await page.getByLabel('That is meant').isVisible()) await page.getByLabel('That is meant').check();
    await keepIt.click();
    await page.getByRole('heading', { name: 'Engine types' }).waitFor();
    await page.getByText(/^6 cylinders, 7 main bearings, 12 valves, 26 fasteners/).waitFor();
    await open(maud, '#/job');
    await page.getByRole('heading', { name: 'Decisions' }).waitFor();
    equal(await page.getByText('no such place').count(), 0, 'all of it counts again');
    await ready(maud);
    equal(maud.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await server.stop();
  }
}

export const cases = [
  ['an engine type from the small form: the drawing follows, sizes are changed, and it goes to another workshop as a file', fromForm],
  ['a place with readings goes off the type sheet only when that is said, and comes back with them', placeGoes],
  ['a type with a cylinder and studs fewer: what stands there is agreed to, shown as no such place, and counts again', countChanges],
];
