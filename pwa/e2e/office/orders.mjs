// An order on paper: one page for one supplier, with the sizes that will be measured, what each line is for, lines to fill by
// hand, and prices only when somebody ticks them.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired } from '../steps.mjs';
import { known, step, word } from '../decide/parts.mjs';

const supplier = 'Orsett Castings';

async function wanted(lead, tag, what, as, asm, order) {
  await known(lead, tag, what, as);
  await step(lead, 'It is wanted', asm === '' ? {} : { For: asm }, 'wanted');
  await word(lead, 'wanted');
  await step(lead, 'It was ordered', { Supplier: supplier, ...order }, 'ordered');
  await word(lead, 'ordered');
}

async function orderSheet() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const { page } = lead;
  try {
    await wanted(lead, 'L-9', 'liner', 'liner', '2117', { Price: '185.50', 'How many': '2', 'What will be measured when it comes: size': 'bore = 107.00 to 107.02; flange = 8.00' });
    await wanted(lead, 'RB-1', 'coupling rubber', 'rubber', '', { Price: '17.05' });
    await open(lead, '#/orders');
    await page.locator('section', { has: page.getByRole('heading', { name: supplier }) }).getByRole('link', { name: 'Order sheet to print' }).click();
    await page.getByRole('heading', { name: `Order sheet: ${supplier}` }).waitFor();
    for (const size of [phoneSize, deskSize]) {
      await page.setViewportSize(size);
      for (const theme of ['dark', 'light']) {
        await page.emulateMedia({ colorScheme: theme });
        await accessible(page, `the order sheet, ${size.width}, ${theme}`);
        await picture(page, `ordersheet-${size.width}-${theme}`);
      }
    }
    const row = async (tag) => (await page.locator('.order-sheet tbody tr', { hasText: tag }).locator('th, td').allInnerTexts()).map((t) => t.replace(/\s+/g, ' ').trim());
    const [part, many, sizes, what, answer] = await row('L-9');
    equal([part, many, sizes, answer], ['L-9 liner', '2', 'bore: 107.00 to 107.02 flange: 8.00', ''], 'part, how many, sizes, room for the answer');
    truthy(/2117.*seventeen.*left/.test(what), `the engine that it is for: ${what}`);
    equal((await row('RB-1'))[3], 'both engines', 'what is for no one engine says so');
    truthy(!(await page.locator('.order-sheet').innerText()).includes('185.50'), 'no price that nobody ticked');
    await page.emulateMedia({ media: 'print' });
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
    equal(pdf.match(/\/Type \/Page\n/g)?.length, 1, 'it is one page');
    equal(await page.evaluate(() => document.body.innerText.trim().startsWith('Railcar No. 4')), true, 'only the sheet is printed');
    equal(await page.locator('.order-sheet .blank-lines span:visible').allInnerTexts(), ['Contact: name', 'telephone or post', 'From', 'Ordered on', 'Promised for'], 'lines to fill by hand');
    await page.setViewportSize({ width: 794, height: 1123 }); // A4 at 96 to the inch
    await picture(page, 'ordersheet-print');
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize(deskSize);
    await page.getByLabel('with prices').check();
    truthy((await page.locator('.order-sheet').innerText()).includes('Together 388.05'), `with prices, and their sum: ${await page.locator('.order-sheet').innerText()}`);
    await page.getByLabel(/RB-1 coupling rubber: ordered/).uncheck();
    equal(await page.locator('.order-sheet tbody tr').count(), 1, 'a line is left out');
    equal(lead.complaints, [], 'the page kept to its policy');
  } finally {
    await lead.forget();
    await server.stop();
  }
}

export const cases = [['an order on paper, for one supplier', orderSheet]];
