// Every map and chart that the app shows can be taken out as a drawing and as a picture, on a phone with no network.
import { readFileSync } from 'node:fs';
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { installed, open, paired, targets } from '../steps.mjs';
import { taken, thePicture } from './book.mjs';

/** A screen, what it is called there, the name of the file, and words that stand on the drawing. */
const drawings = [
  ['#/engine?asm=2117', 'the map of 2117', 'map-2117', 'seventeen'],
  ['#/tighten?asm=2117&joint=head', 'cylinder head of 2117', 'joint-2117-head', 'cylinder head of 2117 seventeen, left'],
  ['#/gasket', 'the window', /^chart-gasket[\w.-]*$/, 'mm'],
  ['#/type?key=ellandry-u6', 'Ellandry U6, block and crank', 'type-Ellandry-U6', 'timing end'],
];

/** Takes a drawing out both ways; the file opens by itself, in black on white. */
async function takenOut(phone, of, file, words) {
  const { page } = phone;
  const button = page.getByRole('button', { name: `SVG picture of ${of}`, exact: true });
  await button.waitFor();
  const [download] = await Promise.all([page.waitForEvent('download'), button.click()]);
  const name = download.suggestedFilename().replace(/\.svg$/, '');
  if (typeof file === 'string') equal(name, file, 'the name of the drawing');
  else truthy(file.test(name), `the name of the drawing: ${name}`);
  const path = `${phone.profile}/${name}.svg`;
  await download.saveAs(path);
  const svg = readFileSync(path, 'utf8');
  truthy(svg.startsWith('<?xml') && svg.includes('<style>') && svg.includes(words), `a drawing with its style, and ${words} on it: ${svg.slice(0, 300)}`);
  await thePicture(phone, await taken(phone, `PNG picture of ${of}`, `${name}.png`), svg, `out-${name}`);
}

async function theRun(phone) {
  const { page } = phone;
  await open(phone, '#/run?asm=2117');
  await page.locator('main a[href*="#/run?"][href*="id="]').first().click();
  const summary = page.locator('summary', { hasText: /^Drawings/ });
  await summary.waitFor();
  if ((await page.locator('details[open] > summary', { hasText: /^Drawings/ }).count()) === 0) await summary.click();
  const first = page.locator('.picture-out button').first();
  const of = (await first.getAttribute('aria-label')).replace('SVG picture of ', '');
  await takenOut(phone, of, /^run-/, 'class="series');
  equal(await page.locator('.run figure .picture-out').count(), await page.locator('.run figure .drawing').count(), 'each drawing of the run can be taken out');
}

async function picturesOut(size) {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris', { size });
  try {
    await installed(phone);
    await phone.offline(true);
    for (const [hash, of, file, words] of drawings) {
      await open(phone, hash);
      await takenOut(phone, of, file, words);
      await accessible(phone.page, `${of}, ${size.width}`);
      if (size.width < 600) await targets(phone, of);
      await picture(phone.page, `out-${of.replace(/\W+/g, '-')}-${size.width}`);
    }
    await theRun(phone);
    await accessible(phone.page, `the drawings of a run, ${size.width}`);
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [
  ['maps and charts out of a phone as drawings and pictures', () => picturesOut(phoneSize)],
  ['maps and charts out of a desk as drawings and pictures', () => picturesOut(deskSize)],
];
