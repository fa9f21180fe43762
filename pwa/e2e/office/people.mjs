// The lead's people and phones: a phone is paired from the screen, its state is told, its role changed, its pairing ended;
// and without the office the screen says so and the crew can still be changed.
import { readFileSync } from 'node:fs';
import { accessible, deskSize, equal, openPhone, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { looks, open, paired, ready, targets } from '../steps.mjs';

const jsqr = readFileSync(new URL('../../node_modules/jsqr/dist/jsQR.js', import.meta.url), 'utf8');

/** What the square on the screen says, read from its pixels by a library that shares nothing with what drew it. */
async function readSquare(page) {
  const square = page.locator('.pair-one .qr');
  await square.evaluate((el) => el.scrollIntoView({ block: 'center' })); // clear of the strips
  const png = await square.screenshot();
  await page.evaluate(jsqr);
  return page.evaluate(async (b64) => {
    const bytes = Uint8Array.from(atob(b64), (c) => c.charCodeAt(0));
    const image = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
    const canvas = new OffscreenCanvas(image.width, image.height);
    const ctx = canvas.getContext('2d');
    ctx.drawImage(image, 0, 0);
    return globalThis.jsQR(ctx.getImageData(0, 0, image.width, image.height).data, image.width, image.height)?.data;
  }, png.toString('base64'));
}

const entryOf = (lead, name) => lead.page.locator('.phones > li', { has: lead.page.getByRole('heading', { name }) });

async function peopleAndPhones() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const fresh = await openPhone(server.origin);
  try {
    await open(lead, '#/people');
    await lead.page.getByRole('button', { name: "Code for a fitter's phone" }).click();
    const code = (await lead.page.getByTestId('code').innerText()).replace(' ', '');
    const address = await readSquare(lead.page);
    equal(address, `${server.origin}/#pair=${code}`, 'the square is the way to pair');
    await accessible(lead.page, 'people with a code');
    await picture(lead.page, 'people-1280-day');
    await copies(lead.page, address);
    await fresh.page.goto(address);
    equal(await fresh.page.getByLabel('Code').inputValue(), code, 'the code is filled in');
    await fresh.page.getByLabel('What this phone is called').fill('P9');
    await fresh.page.getByRole('button', { name: 'Pair this phone' }).click();
    await lead.page.getByTestId('paired').filter({ hasText: 'P9 is paired' }).waitFor();
    await fresh.page.getByRole('button', { name: 'Idris Cole' }).click();
    await ready(fresh);

    // What the phone last said of itself: it keeps something, and says how it stands with the next exchange.
    await lead.page.reload();
    await entryOf(lead, 'P9').getByText('nothing, as it last said').waitFor();
    truthy((await entryOf(lead, 'P9').innerText()).includes("Agrees with the office's"), 'its clock is told');

    await lead.page.getByLabel('May do (P9)').selectOption('viewer');
    await lead.page.getByText(/P1 changed what may do P9 viewer/).waitFor();
    await fresh.page.reload(); // the next token tells it
    await open(fresh, '#/phone');
    await fresh.page.getByText('a viewer: looks on').waitFor();
    await entryOf(lead, 'P9').getByRole('button', { name: 'New key' }).click();
    await lead.page.getByText(/P1 renewed the key of P9/).waitFor();

    await lead.page.getByLabel('Bram Hale').selectOption('viewer');
    await lead.page.waitForFunction(() => [...document.querySelectorAll('.crew label')].some((l) => l.textContent.startsWith('Bram Hale') && l.querySelector('select').value === 'viewer'));

    await entryOf(lead, 'P9').getByRole('button', { name: 'End P9' }).click();
    await lead.page.getByRole('button', { name: 'Yes, end P9' }).click();
    await lead.page.locator('summary', { hasText: 'Pairing ended' }).waitFor();
    await fresh.page.getByText('pairing ended').first().waitFor();
    await everyLight(lead);
    await withoutTheOffice(lead);
    for (const p of [lead, fresh]) equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await Promise.all([lead.forget(), fresh.forget()]);
    await server.stop();
  }
}

/** One tap copies a link and says so; where the browser has no clipboard the link is selected, and the words say what to do. */
async function copies(page, address) {
  equal(await page.getByTestId('pair-link').innerText(), address, 'the link is what the square says');
  await page.getByRole('button', { name: 'Copy the link' }).click();
  await page.getByText('Copied.', { exact: true }).waitFor();
  const field = page.getByLabel('A link for volunteers, called');
  await field.press('Control+V');
  equal(await field.inputValue(), address, 'what was copied can be pasted');
  await page.evaluate(() => Object.defineProperty(Navigator.prototype, 'clipboard', { get: () => undefined }));
  await field.fill('Friends of the line');
  await page.getByRole('button', { name: 'Make a link' }).click();
  const link = await page.getByTestId('link').innerText();
  const made = page.locator('.copy-link', { has: page.getByTestId('link') });
  await made.getByRole('button', { name: 'Copy the link' }).click();
  await made.getByText('This browser does not copy by itself.').waitFor();
  equal(await page.evaluate(() => getSelection().toString().trim()), link, 'the link is selected');
  await targets({ page }, 'people, with links to pass on');
  await made.evaluate((el) => el.scrollIntoView({ block: 'center' }));
  await looks(page, 'people-copy');
  await page.setViewportSize(deskSize);
}

async function everyLight(lead) {
  for (const dark of [false, true]) {
    await lead.page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
    for (const size of [deskSize, phoneSize]) {
      await lead.page.setViewportSize(size);
      await accessible(lead.page, `people ${size.width} ${dark ? 'pit' : 'day'}`);
      await picture(lead.page, `people-${size.width}-${dark ? 'pit' : 'day'}-list`);
    }
  }
  equal(await lead.page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, 'the screen keeps to its width');
}

/** With no office it says so, and the crew can be changed all the same. */
async function withoutTheOffice(lead) {
  await lead.offline(true);
  await open(lead, '#/job');
  await open(lead, '#/people');
  await lead.page.getByTestId('no-office').getByText('The office cannot be reached').waitFor();
  await lead.page.getByLabel('Wick Sayer').selectOption('fitter');
  await lead.page.getByTestId('phone-state').filter({ hasText: 'only on this phone' }).waitFor();
  await picture(lead.page, 'people-390-offline');
  await lead.offline(false);
  await lead.page.getByRole('heading', { name: 'Phones', exact: true }).waitFor(); // it asks again by itself
}

export const cases = [['people and phones: paired by the square, role, key, ended; and without the office', peopleAndPhones]];
