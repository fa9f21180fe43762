// A lot of parts from the order to the engine, and one part that two phones fit in two places.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

const photoFile = new URL('../../../testdata/demo/gk-7.jpg', import.meta.url).pathname;
const main = async (phone) => (await phone.page.locator('main').innerText()).replace(/\s+/g, ' ');
export const word = (phone, text) => phone.page.locator('.one-part > .verdict').getByText(text, { exact: true }).waitFor();

export async function step(phone, button, fields, state) {
  const { page } = phone;
  await page.getByRole('button', { name: button, exact: true }).click();
  for (const [label, text] of Object.entries(fields)) {
    const field = page.getByLabel(new RegExp(`^${label}`));
    if ((await field.evaluate((el) => el.tagName)) === 'SELECT') await field.selectOption(text);
    else await field.fill(text);
  }
  await page.getByRole('button', { name: `Keep: ${state}` }).click();
}

export async function known(phone, tag, what, as) {
  const { page } = phone;
  await open(phone, '#/parts');
  await page.locator('summary', { hasText: 'Enter a part, or a lot' }).click();
  await page.getByLabel('Tag, or lot').fill(tag);
  await page.getByLabel('What it is').fill(what);
  await page.getByLabel('Serves as').fill(as);
  await page.getByLabel('Where it is from').selectOption('remade to drawing');
  await page.locator('details[open] input').nth(3).fill('B7');
  await page.getByRole('button', { name: 'Keep the part' }).click();
  await word(phone, 'on the shelf');
}

async function fit(phone, tag, asm, place) {
  const { page } = phone;
  await page.getByRole('button', { name: 'Fit it', exact: true }).click();
  await page.getByLabel('Into').selectOption(asm);
  await page.getByLabel(/^At/).selectOption({ label: place });
  await page.getByRole('button', { name: new RegExp(`^Fit ${tag} into`) }).click();
  await word(phone, 'fitted');
}

async function ordersAndFits() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const idris = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const { page } = maud;
  try {
    await known(maud, 'L-9', 'liner', 'liner');
    await step(maud, 'It is wanted', { For: '2117' }, 'wanted');
    await word(maud, 'wanted');
    await step(maud, 'It was ordered', { Supplier: 'Orsett Castings', Price: '185.50', 'How many': '2', 'Promised for': '2026-01-10', 'What it waits for': 'the pattern, repaired', 'What will be measured when it comes: size': 'bore = 107.00 to 107.02; flange = 8.00' }, 'ordered');
    await word(maud, 'ordered');
    await open(maud, '#/orders');
    await page.getByRole('heading', { name: 'Orsett Castings' }).waitFor();
    const list = await main(maud);
    truthy(/due 2026-01-10: \d+ days late; the pattern, repaired/.test(list) && list.includes('185.50 EUR'), `what the line waits for: ${list}`);
    await picture(page, 'orders-1280-day');
    await accessible(page, 'the orders');
    await page.getByRole('link', { name: /L-9/ }).click();
    await step(maud, 'It came', { 'How many': '1' }, 'received');
    await word(maud, '1 of 2 received');
    await step(maud, 'It came', { 'How many': '1' }, 'received');
    await word(maud, 'received, not accepted');
    await open(maud, '#/today');
    await page.locator('.today.now', { hasText: 'L-9, liner' }).click();
    await page.getByRole('button', { name: 'Take it in', exact: true }).click();
    await page.getByLabel('As measured, or seen').first().fill('107.01');
    await page.getByRole('button', { name: 'Will do: bore' }).click();
    await page.locator('.inward input[type=file]').setInputFiles(photoFile);
    await page.getByText('one photo with it').waitFor();
    await page.getByRole('button', { name: 'Accept L-9' }).click();
    await page.getByText('Not answered yet: flange.').waitFor();
    await page.getByRole('button', { name: 'Will not do: flange' }).click();
    await page.getByRole('button', { name: 'Accept L-9' }).click();
    await page.getByText('say why it is taken all the same').waitFor();
    for (const size of [phoneSize, deskSize]) {
      await page.setViewportSize(size);
      for (const theme of ['light', 'dark']) {
        await page.emulateMedia({ colorScheme: theme });
        await accessible(page, `the goods-inward card, ${size.width}, ${theme}`);
      }
      await picture(page, `inward-${size.width}-pit`);
    }
    await page.emulateMedia({ colorScheme: 'light' });
    await page.getByLabel('Remark, or the reason').fill('flange 0.02 high, faced here');
    await page.getByRole('button', { name: 'Accept L-9' }).click();
    await word(maud, 'accepted');
    await page.locator('.readings .photos img').waitFor();
    await ready(maud);
    await open(idris, '#/part?part=L-9');
    await word(idris, 'accepted');
    await idris.offline(true);
    await fit(idris, 'L-9', '2123', 'cylinder 3 · liner bore');
    await fit(maud, 'L-9', '2117', 'cylinder 1 · liner bore');
    await ready(maud);
    await idris.offline(false);
    await ready(idris);
    await word(idris, 'not settled');
    await word(maud, 'not settled');
    for (const phone of [maud, idris]) equal(await phone.page.locator('.strip .engine-name').count(), 0, 'the strip names no engine while that is not settled');
    await page.getByRole('link', { name: 'Settle where it is' }).click();
    await page.getByLabel('Why it is so').fill('it is in 2117: looked together');
    await page.locator('.choices li', { hasText: 'Maud Ferris' }).getByRole('button').click();
    await page.getByRole('heading', { name: 'Today' }).waitFor();
    await open(maud, '#/parts');
    await page.locator('section[aria-label="In 2117"] .line', { hasText: 'L-9' }).waitFor();
    await accessible(page, 'the parts');
    await picture(page, 'parts-1280-day');
    await page.getByLabel('As it was on').fill('2027-03-26');
    await page.getByText('As it was on the evening of 2027-03-26').waitFor();
    truthy((await page.locator('section[aria-label="In 2117"] .line', { hasText: 'CH-1' }).count()) === 0, 'the chain was not yet in');
    await page.getByLabel('As it was on').fill('2027-03-27');
    await page.locator('section[aria-label="In 2117"] .line', { hasText: 'CH-1' }).waitFor();
    await page.locator('summary', { hasText: 'What was tightened with a wrench' }).click();
    await page.getByLabel('Wrench').selectOption('W2');
    await page.getByLabel('Since').fill('2027-03-28');
    await page.locator('.line', { hasText: 'pass 1' }).first().waitFor();
    for (const phone of [maud, idris]) equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await idris.forget();
    await server.stop();
  }
}

const strip = (phone) => phone.page.locator('.strip .engine-name');

/** Both offline, each does its part; then both come back. */
async function apart(phones, ...deeds) {
  for (const phone of phones) await phone.offline(true);
  for (const [i, deed] of deeds.entries()) await deed(phones[i]);
  for (const phone of phones) await phone.offline(false);
  for (const phone of phones) await ready(phone);
}

async function ofNeither() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const idris = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const { page } = maud;
  try {
    await known(maud, 'RB-9', 'coupling rubber', 'rubber');
    await ready(maud);
    await open(idris, '#/part?part=RB-9');
    await word(idris, 'on the shelf');
    const want = (asm) => (phone) => step(phone, 'It is wanted', { For: asm }, 'wanted').then(() => word(phone, 'wanted'));
    await apart([maud, idris], want('2117'), want('2123'));
    for (const phone of [maud, idris]) {
      await phone.page.getByText('Which engine it is for is not settled.').waitFor();
      equal(await strip(phone).count(), 0, 'engines in the strip of a part that is wanted for either');
    }
    await picture(page, 'torn-1280-day');
    await picture(idris.page, 'torn-390-day');
    await accessible(page, 'a part wanted for either engine');
    await open(maud, '#/orders');
    await page.locator('.line', { hasText: 'RB-9' }).getByText('which engine it is for is not settled').waitFor();
    await open(maud, '#/ordersheet?supplier=');
    equal(await page.getByLabel('RB-9 coupling rubber: wanted').isChecked(), false, 'on the sheet before anybody said for which engine');
    await open(maud, '#/part?part=RB-9');
    await step(maud, 'A supplier was asked', { Supplier: 'Orsett Castings' }, 'asked');
    await page.getByText('Say which engine it is for: two entries say otherwise').waitFor();
    await page.getByLabel('For').selectOption('2123');
    await page.getByRole('button', { name: 'Keep: asked' }).click();
    await strip(maud).getByText('2123').waitFor();
    await step(maud, 'It was ordered', { Supplier: 'Orsett Castings' }, 'ordered');
    await word(maud, 'ordered');
    equal((await strip(maud).innerText()).includes('2123'), true, 'ordered for the engine that it was asked for');
    await step(maud, 'It came', {}, 'received');
    await word(maud, 'received, not accepted');
    await ready(maud);
    await word(idris, 'received, not accepted');
    const scrapped = (phone) => step(phone, 'Scrap it', {}, 'scrapped').then(() => word(phone, 'scrapped'));
    await known(maud, 'L-8', 'liner', 'liner');
    await ready(maud);
    await open(idris, '#/part?part=L-8');
    await word(idris, 'on the shelf');
    await apart([maud, idris], scrapped, (phone) => fit(phone, 'L-8', '2117', 'cylinder 1 · liner bore'));
    await word(maud, 'not settled');
    await page.getByRole('link', { name: 'Settle where it is' }).click();
    await page.locator('main .engine-name', { hasText: '2117' }).waitFor();
    equal(await strip(maud).count(), 0, 'engines in the strip where the question is which');
    await page.getByRole('button', { name: 'L-8: fitted in 2117 seventeen · cylinder 1 · liner bore is right' }).waitFor();
    await picture(page, 'which-1280-day');
    await open(maud, '#/part?part=GK-7');
    await page.getByText('by the clock of P3, Bram Hale, and it came on 2027-03-13').waitFor();
    await picture(page, 'early-1280-day');
    await accessible(page, 'a part measured before it came');
    equal([...maud.complaints, ...idris.complaints], [], 'the pages kept to their policy');
  } finally {
    await maud.forget();
    await idris.forget();
    await server.stop();
  }
}

export const cases = [['a part is ordered, comes in two parcels, is measured and fitted; fitted twice it is not settled', ordersAndFits],
  ['a part that two phones want for two engines, or have in two places, is of neither until somebody says', ofNeither]];
