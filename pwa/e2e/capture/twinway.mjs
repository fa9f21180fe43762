// The process of one engine copied to the other, in a real browser: the order, the instrument, the condition; never a value.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { paired } from '../steps.mjs';

const sheetName = 'Crank and bearings';
const at = (page) => page.evaluate(() => Object.fromEntries(new URLSearchParams(location.hash.split('?')[1])));
const open = (page, hash) => page.evaluate((h) => (location.hash = h), hash);

/** Opens an engine's sheet with the group unfolded. */
async function sheet(page, asm, name = sheetName) {
  await open(page, `#/sheet?asm=${asm}`);
  await page.getByRole('heading', { name: 'Sheet', exact: true }).waitFor();
  const group = page.locator('details').filter({ has: page.locator('summary', { hasText: `${name}:` }) }).first();
  if (!(await group.evaluate((d) => d.open))) await group.locator('summary').first().click();
  return group.locator('.twin-way');
}

/** Both themes at both sizes, with a picture of each size. */
async function looks(page, box) {
  for (const [size, width] of [['phone', phoneSize], ['desk', deskSize]]) {
    await page.setViewportSize(width);
    for (const theme of ['day', 'pit']) {
      await page.evaluate((t) => (document.documentElement.dataset.theme = t), theme);
      await accessible(page, `the way of the other engine, ${size}, ${theme}`);
    }
    await box.scrollIntoViewIfNeeded();
    await picture(page, `twinway-${size}`);
  }
  await page.setViewportSize(phoneSize);
}

/** Types what was measured on the pad and keeps it. */
async function kept(page, text) {
  const pad = page.getByRole('group', { name: 'Number pad' });
  await pad.focus();
  await page.keyboard.type(text);
  await page.waitForFunction((t) => document.querySelector('[data-testid=keep]')?.textContent?.includes(t), text);
  await page.getByTestId('keep').click();
}

/** The pins of the left engine, measured as those of the right one were: pins first, all of one journal, with M1, as found. */
async function sameWay() {
  const server = await startServer({ demo: true });
  const { page, complaints, forget } = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    const box = await sheet(page, '2117');
    await box.getByRole('heading', { name: 'As on the right engine' }).waitFor();
    truthy((await page.getByRole('link', { name: /^Next:/ }).getAttribute('href')).includes('at=main.1.journal'), 'place by place begins at main bearing 1');
    await box.locator('summary').click();
    const text = await box.innerText();
    truthy(/M1, micrometer 50–75/.test(text) && /\bmm\b/.test(text) && /found/.test(text), `instrument, unit and condition: ${text.slice(0, 200)}`);
    equal(/61\.|74\.9/.test(await box.innerHTML()), false, 'no value of the other engine stands there');
    const first = await box.locator('li').first().innerText();
    truthy(/big-end pin 1 · journal: a\.V, a\.H, b\.V, b\.H, c\.V, c\.H with M1/.test(first), `the first place: ${first}`);
    await looks(page, box);

    await box.getByRole('button', { name: 'Do it the same way' }).click();
    await box.getByText('Next goes round as on the right engine.').waitFor();
    equal(await page.getByLabel('I go round').inputValue(), 'twin', 'the walk');
    await page.reload();
    await page.getByRole('link', { name: /^Next: big-end pin 1/ }).click();
    await page.getByRole('heading', { name: /big-end pin 1/ }).waitFor();
    const here = await at(page);
    equal([here.at, here.point, here.cond], ['pin.1.journal', 'a.V', 'found'], 'Next leads to where the other engine was begun');
    truthy(/M1/.test(await page.locator('.sitting-box > summary').innerText()), 'with the same instrument, also after a reload');
    truthy(await page.getByRole('button', { name: /1 reading hidden: show/ }).isVisible(), 'the value there stays hidden');
    await kept(page, '61.951');
    await page.waitForFunction(() => location.hash.includes('point=a.H'));
    equal((await at(page)).at, 'pin.1.journal', 'Keep goes on in the same order');
    equal(complaints, [], 'complaints of the page');
  } finally {
    await forget();
    await server.stop();
  }
}

/** What was skipped on the right engine stays missing on the left one, and says why it was skipped there. */
async function skippedThere() {
  const server = await startServer({ demo: true });
  const { page, complaints, forget } = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await open(page, '#/point?asm=2123&at=cyl.5.gap&cond=found');
    await page.getByText('Skip this point').click();
    await page.getByRole('button', { name: 'not fitted' }).click();
    await page.waitForFunction(() => !location.hash.includes('cyl.5.gap'));
    await sheet(page, '2117', 'Bores and pistons');
    const cell = page.locator('a.cell[href*="at=cyl.5.gap"]');
    await cell.getByText('skipped on the right: not fitted').waitFor();
    equal([await cell.getAttribute('class'), await cell.locator('.figure').innerText()], ['cell missing', 'missing'], 'it is still to be measured here');
    await cell.scrollIntoViewIfNeeded();
    await accessible(page, 'a point skipped on the other engine');
    await picture(page, 'twinway-skipped');
    equal(complaints, [], 'complaints of the page');
  } finally {
    await forget();
    await server.stop();
  }
}

export const cases = [
  ['the same way as on the other engine, and no value of it', sameWay],
  ['what was skipped on the other engine is missing here, with the reason', skippedThere],
];
