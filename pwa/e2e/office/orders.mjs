// An order on paper: one page for one supplier, with the sizes that will be measured, what each line is for, lines to fill by
// hand, and prices only when somebody ticks them.
import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { accessible, deskSize, equal, out, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { looks, open, paired, twiceTheText } from '../steps.mjs';
import { known, step, word } from '../decide/parts.mjs';

const supplier = 'Orsett Castings';

async function wanted(lead, tag, what, as, asm, order) {
  await known(lead, tag, what, as);
  await step(lead, 'It is wanted', asm === '' ? {} : { For: asm }, 'wanted');
  await word(lead, 'wanted');
  await step(lead, 'It was ordered', { Supplier: supplier, ...order }, 'ordered');
  await word(lead, 'ordered');
}

/** Prints it to a PDF, turns that into pictures to be looked at, and says how many pages of which size in points. */
async function printed(page, name) {
  const path = join(out, `${name}.pdf`);
  await page.pdf({ path, preferCSSPageSize: true });
  const info = execFileSync('pdfinfo', [path], { encoding: 'utf8' });
  execFileSync('pdftoppm', ['-png', '-r', '90', path, join(out, name)]);
  return { pages: Number(/Pages:\s+(\d+)/.exec(info)[1]), size: /Page size:\s+([\d.]+ x [\d.]+)/.exec(info)[1] };
}

/** Each part has its sketch, or a box to draw it in; what nobody knows is left to be agreed. */
async function sketches(lead) {
  const of = async (tag) => (await lead.page.locator('.order-sketches figure', { hasText: tag }).innerText()).replace(/\s+/g, ' ');
  truthy((await of('L-9')).includes('107.00 to 107.02') && (await of('L-9')).includes('mm – to be agreed'), `the liner: ${await of('L-9')}`);
  truthy((await of('GK-11')).includes('109.0 mm, type sheet'), `the gasket: ${await of('GK-11')}`);
  truthy((await of('RB-1')).includes('to be drawn by hand'), 'what there is no sketch of has a box');
  await looks(lead.page, 'ordersheet-sketches');
  await lead.page.setViewportSize(phoneSize);
  await lead.page.locator('.order-sketches').evaluate((e) => e.scrollIntoView({ block: 'start' }));
  await picture(lead.page, 'ordersheet-sketches-phone');
  await twiceTheText(lead, 'the order sheet');
  await lead.page.setViewportSize(deskSize);
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
    await wanted(lead, 'SH-8', 'half shells, big end', 'shells', '2123', { 'How many': '14', 'What will be measured when it comes: size': 'wall = 2.225 to 2.230' });
    await wanted(lead, 'GK-11', 'head gasket', 'gasket', '', { 'How many': '4', 'What will be measured when it comes: size': 'thickness, free = 1.58' });
    await wanted(lead, 'CH-3', 'cam chain', 'chain', '2117', { 'How many': '1' });
    await wanted(lead, 'W-1', 'copper washer, injector', 'washer', '', { 'How many': '12', 'What will be measured when it comes: size': 'thickness = 2.0' });
    await open(lead, `#/ordersheet?supplier=${encodeURIComponent(supplier)}`);
    await page.locator('.order-sketches figure', { hasText: 'W-1' }).waitFor();
    await sketches(lead);
    await page.emulateMedia({ media: 'print' });
    for (const [paper, size] of [['letter', '612 x 792'], ['a4', '594.96 x 841.92']]) {
      await page.getByLabel(/^Paper/).selectOption(paper, { force: true });
      await page.locator(`.order-sheet.${paper}`).waitFor();
      equal(await printed(page, `ordersheet-${paper}`), { pages: 1, size }, `six lines with their sketches on one page of ${paper}`);
    }
    equal(await page.evaluate(() => document.body.innerText.trim().startsWith('Railcar No. 4')), true, 'only the sheet is printed');
    equal(await page.locator('.order-sheet .blank-lines span:visible').allInnerTexts(), ['Contact: name', 'telephone or post', 'From', 'Ordered on', 'Promised for'], 'lines to fill by hand');
    await page.setViewportSize({ width: 794, height: 1123 }); // A4 at 96 to the inch
    await picture(page, 'ordersheet-print');
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize(deskSize);
    await page.getByLabel('with prices').check();
    truthy((await page.locator('.order-sheet').innerText()).includes('Together 388.05'), `with prices, and their sum: ${await page.locator('.order-sheet').innerText()}`);
    await page.getByLabel(/RB-1 coupling rubber: ordered/).uncheck();
    equal(await page.locator('.order-sheet tbody tr').count(), 5, 'a line is left out');
    equal(lead.complaints, [], 'the page kept to its policy');
  } finally {
    await lead.forget();
    await server.stop();
  }
}

export const cases = [['an order on paper, for one supplier', orderSheet]];
