// The record book and the numbers, as the lead takes them out of the app: the
// file opens from a disk with nothing around it, reads on a phone, prints.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { paired } from '../steps.mjs';

async function leadAtJob(server, size) {
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size });
  await lead.page.evaluate(() => (location.hash = '#/job'));
  await lead.page.getByRole('heading', { name: 'Record book and numbers' }).waitFor();
  return lead;
}

/** Clicks a button and resolves with where the browser kept the file. */
async function taken(lead, name, file) {
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
    await reads(lead, path, deskSize, '1280');
    await reads(lead, path, phoneSize, '390');
    await lead.page.getByLabel("with people's names").uncheck();
    const bare = readFileSync(await taken(lead, 'Record book', 'record-book.html'), 'utf8');
    truthy(!bare.includes('Idris Cole') && bare.includes('person 1'), 'and one without names');
    equal(lead.complaints, [], 'the page kept to its policy');
  } finally {
    await lead.forget();
    await server.stop();
  }
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
  ['the numbers for other programs', theNumbers],
];
