// The record book and the numbers, as the lead takes them out of the app: the
// file opens from a disk with nothing around it, reads on a phone, prints.
import { execFileSync } from 'node:child_process';
import { copyFileSync, readFileSync } from 'node:fs';
import ICAL from 'ical.js';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { accessible, deskSize, equal, out, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { looks, paired, targets } from '../steps.mjs';
import { valid } from '../valid.mjs';

async function leadAtJob(server, size) {
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size });
  await lead.page.evaluate(() => (location.hash = '#/job'));
  await lead.page.getByRole('heading', { name: 'Record book and numbers' }).waitFor();
  return lead;
}

/** Clicks a button and resolves with where the browser kept the file. */
export async function taken(lead, name, file) {
  const [download] = await Promise.all([lead.page.waitForEvent('download'), lead.page.getByRole('button', { name, exact: true }).click()]);
  equal(download.suggestedFilename(), file, 'the name of the file');
  const path = join(lead.profile, file);
  await download.saveAs(path);
  return path;
}

/** Opens the file from the disk, in a browser that has nobody to ask, at a size. */
async function opened(lead, path, size) {
  const page = await lead.context.newPage();
  const asked = [];
  page.on('request', (r) => !r.url().startsWith('file:') && !r.url().startsWith('data:') && asked.push(r.url()));
  await page.setViewportSize(size);
  await page.goto(pathToFileURL(path).href);
  return { page, asked };
}

async function reads(lead, path, size, name) {
  const { page, asked } = await opened(lead, path, size);
  await accessible(page, `record book, ${name}`);
  equal(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), true, `nothing stands out at the side, ${name}`);
  equal(await page.evaluate(() => [...document.images].every((i) => i.complete && i.naturalWidth > 0)), true, 'every photo is inside');
  equal(await page.evaluate(() => [...document.querySelectorAll('[href^="#"], [aria-labelledby]')].flatMap((e) => (e.getAttribute('href')?.slice(1) ?? e.getAttribute('aria-labelledby')).split(' ')).filter((id) => document.getElementById(id) === null)), [], 'every way inside leads somewhere');
  equal(await page.evaluate(() => [...document.querySelectorAll('a:not([href^="#"]), link, script, iframe, object')].length), 0, 'and none leads out');
  await page.evaluate(() => document.fonts.ready);
  equal(await page.evaluate(() => document.fonts.check('16px Book') && [...document.fonts].some((f) => f.family.includes('Book') && f.status === 'loaded')), true, 'the typeface is inside');
  for (const [id, part] of [['', 'top'], ['type1-1', 'measured'], ['joints', 'tightening'], ['entries', 'entries']]) {
    await page.evaluate((i) => (i === '' ? scrollTo(0, 0) : document.getElementById(i).scrollIntoView()), id);
    await picture(page, `book-${part}-${name}`);
  }
  await page.emulateMedia({ media: 'print' });
  for (const id of ['open', 'type1-1', 'both']) {
    await page.evaluate((i) => document.getElementById(i).scrollIntoView(), id);
    await picture(page, `book-print-${id}-${name}`);
  }
  equal(asked, [], 'the book asks for nothing');
  await page.close();
}

async function theRecordBook() {
  const server = await startServer({ demo: true });
  const lead = await leadAtJob(server, deskSize);
  try {
    const path = await taken(lead, 'Record book', 'record-book.html');
    const text = readFileSync(path, 'utf8');
    truthy(text.includes('Idris Cole') && text.trimEnd().endsWith('</html>'), 'the whole book, with names');
    await valid(text, 'the record book');
    await reads(lead, path, deskSize, '1280');
    await reads(lead, path, phoneSize, '390');
    await lead.page.getByLabel("with people's names").uncheck();
    const bare = readFileSync(await taken(lead, 'Record book', 'record-book.html'), 'utf8');
    truthy(!bare.includes('Idris Cole') && bare.includes('person 1'), 'and one without names');
    await valid(await (await fetch(`${server.origin}/`)).text(), 'the app');
    await valid(await (await fetch(`${server.origin}/v/none`)).text(), "the volunteers' page");
    equal(lead.complaints, [], 'the page kept to its policy');
  } finally {
    await lead.forget();
    await server.stop();
  }
}

/** One engine as it stood on an evening, without names, printed by the office on Letter: its pages say which, where and when. */
async function atADay() {
  const server = await startServer({ demo: true });
  const lead = await leadAtJob(server, phoneSize);
  try {
    const { page } = lead;
    await page.getByLabel('Book of').selectOption('2117');
    await page.getByLabel('As it stood on the evening of').fill('2027-03-12');
    await page.getByLabel(/^Paper/).selectOption('letter');
    await page.getByLabel('As a file').selectOption('pdf');
    await page.getByLabel("with people's names").uncheck();
    await page.getByRole('form', { name: 'Which record book' }).scrollIntoViewIfNeeded();
    await targets(lead, 'which record book');
    await looks(page, 'book-which');
    const path = await taken(lead, 'Record book', 'record-book-2117-2027-03-12.pdf');
    const pages = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' }).split('\f').slice(0, -1);
    truthy(pages.length > 5, `${pages.length} pages`);
    for (const text of pages) for (const says of ['Railcar No. 4, the Heron', '2117 seventeen, left', 'as it stood on the evening of 12 March 2027']) truthy(text.includes(says), `each page says ${says}: ${text.slice(0, 200)}`);
    truthy(!pages.join('').includes('Idris Cole') && !pages.join('').includes('2123 twenty-three'), 'no names, and not the other engine');
    truthy(execFileSync('pdfinfo', [path], { encoding: 'utf8' }).includes('(letter)'), 'on Letter');
    execFileSync('pdftoppm', ['-png', '-r', '60', '-f', '1', '-l', '3', path, join(out, 'book-at-a-day')]);
    for (const [day, says] of [['2099-01-01', 'has not come yet'], ['2020-01-01', 'the first entry is of 2027-']]) {
      await page.getByLabel('As it stood on the evening of').fill(day);
      await page.getByRole('button', { name: 'Record book', exact: true }).click();
      await page.getByText(says).waitFor();
    }
  } finally {
    await lead.forget();
    await server.stop();
  }
}

/** The picture is as large as the drawing times three, white at its corners and drawn in black; it stands among the pictures to be looked at. */
export async function thePicture(lead, path, svg, name) {
  const [, width, height] = /viewBox="-?\d+ -?\d+ (\d+) (\d+)"/.exec(svg).map(Number); // one with a caption begins above the drawing
  const seen = await lead.page.evaluate(async (b64) => {
    const image = await createImageBitmap(new Blob([Uint8Array.from(atob(b64), (c) => c.charCodeAt(0))], { type: 'image/png' }));
    const ink = new OffscreenCanvas(image.width, image.height).getContext('2d');
    ink.drawImage(image, 0, 0);
    const { data } = ink.getImageData(0, 0, image.width, image.height);
    let black = 0;
    for (let i = 0; i < data.length; i += 4) if (data[i] < 64) black++;
    return { width: image.width, height: image.height, corner: [...data.slice(0, 4)], black: black / (image.width * image.height) };
  }, readFileSync(path).toString('base64'));
  equal([seen.width, seen.height, seen.corner], [3 * width, 3 * height, [255, 255, 255, 255]], 'its size, and white ground');
  truthy(seen.black > 0.01 && seen.black < 0.3, `there is ink on it: ${seen.black}`);
  copyFileSync(path, join(out, `${name}.png`));
}

/** The calendar as a library of the standard reads it. */
function theCalendar(text) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  const todo = calendar.getAllSubcomponents('vtodo');
  equal(todo.map((t) => t.getFirstPropertyValue('summary').split(':')[0].split(' since ')[0]), ['Snag, cured, not seen dry'], 'what the demo has to be done');
  const all = [...todo, ...calendar.getAllSubcomponents('vevent')];
  truthy(all.length > todo.length && new Set(all.map((t) => t.getFirstPropertyValue('uid'))).size === all.length, 'each by its own id, the gasket on order among them');
  for (const line of text.split('\r\n')) truthy(Buffer.byteLength(line) <= 75, `folded: ${line}`);
}

async function theNumbers() {
  const server = await startServer({ demo: true });
  const lead = await leadAtJob(server, phoneSize);
  try {
    await lead.page.getByRole('button', { name: 'Numbers for other programs' }).click();
    await lead.page.getByRole('button', { name: 'readings.csv' }).waitFor();
    await lead.page.getByRole('heading', { name: 'Record book and numbers' }).scrollIntoViewIfNeeded();
    await accessible(lead.page, 'job, with the numbers');
    await picture(lead.page, 'book-numbers-390');
    const table = readFileSync(await taken(lead, 'readings.csv', 'readings.csv'), 'utf8');
    truthy(table.startsWith('entry,engine,') && table.includes('61.587'), 'the table has the readings');
    const map = readFileSync(await taken(lead, 'map-2117.svg', 'map-2117.svg'), 'utf8');
    truthy(map.includes('<svg ') && map.includes('seventeen'), 'the map is a drawing');
    await thePicture(lead, await taken(lead, 'map-2117.svg as a PNG picture', 'map-2117.png'), map, 'book-map');
    await picture(lead.page, 'book-png-390');
    theCalendar(readFileSync(await taken(lead, 'What is due, for a calendar', 'due.ics'), 'utf8'));
    await server.stop({ keep: true });
    await lead.page.getByRole('button', { name: 'Record book', exact: true }).click();
    await lead.page.locator('.problem').first().waitFor();
  } finally {
    await lead.forget();
    await server.stop();
  }
}

export const cases = [
  ['the record book opens from a disk, reads on a phone, prints', theRecordBook],
  ['the book of one engine as it stood on an evening', atADay],
  ['the numbers for other programs', theNumbers],
];
