// At a desk: a list as a table, sorted by the keyboard, copied as text; something ordered with one keep, and what it costs.
import { accessible, deskSize, equal, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

const column = (page, n) => page.locator('.as-table tbody tr').evaluateAll((rows, k) => rows.map((r) => r.children[k].textContent), n);

async function desk() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const { page } = maud;
  try {
    await maud.context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: server.origin });
    await open(maud, '#/orders');
    for (const [tag, what, price, count] of [['SH-8', 'half shells', '42,50', '14'], ['RB-1', 'rubber elements', '9.80', '8'], ['WS-1', 'copper washers', '', '12']]) {
      const before = await page.locator('.lines > li').count();
      const form = page.locator('details', { has: page.locator('summary', { hasText: 'Something is wanted, or ordered' }) });
      if (!(await form.evaluate((e) => e.open))) await form.locator('summary').click();
      await form.getByLabel(/^It is/).selectOption('ordered');
      await form.getByLabel('Tag, or lot').fill(tag);
      await form.getByLabel('What it is').fill(what);
      await form.getByRole('textbox', { name: 'Supplier' }).fill('Orsett Castings');
      await form.getByLabel('Price of one').fill(price);
      await form.getByLabel('How many').fill(count);
      await form.getByLabel('Promised for').fill('2031-04-12');
      await form.getByRole('button', { name: 'Keep it' }).click();
      await page.locator('.lines > li').nth(before).waitFor(); // one keep, and it stands there
    }
    const section = page.locator('section', { has: page.getByRole('heading', { name: 'Orsett Castings' }) });
    await section.getByText('14 × 42,50\u2009EUR = 595.00\u2009EUR').waitFor();
    await section.getByText('Together 673.40\u2009EUR, 1 without a price').waitFor(); // 595.00 + 8 × 9.80
    await page.locator('details', { has: page.locator('summary', { hasText: 'Something is wanted' }) }).getByLabel('Tag, or lot').fill('SH-8');
    await page.locator('details', { has: page.locator('summary', { hasText: 'Something is wanted' }) }).getByLabel('What it is').fill('the same again');
    await page.getByRole('button', { name: 'Keep it' }).click();
    await page.getByText('SH-8 is there already').waitFor();

    await page.locator('summary', { hasText: 'Orders as a table' }).click();
    const price = page.locator('.as-table th[aria-sort]', { hasText: 'Price of one' });
    equal(await price.getAttribute('aria-sort'), 'none', 'as it came');
    await price.getByRole('button').focus();
    await page.keyboard.press('Enter');
    equal(await price.getAttribute('aria-sort'), 'ascending', 'the smallest first');
    equal((await column(page, 5)).filter((t) => t !== ''), ['9.80', '38.50', '42,50'], 'figures by their size, as written');
    equal((await column(page, 5)).at(-1), '', 'what has no price last');
    await page.keyboard.press('Enter');
    equal((await column(page, 5)).filter((t) => t !== ''), ['42,50', '38.50', '9.80'], 'the largest first');
    for (const theme of ['dark', 'light']) {
      await page.emulateMedia({ colorScheme: theme });
      await accessible(page, `orders as a table, ${theme}`);
      await page.getByRole('button', { name: 'Copy as text: Orders' }).scrollIntoViewIfNeeded();
      await picture(page, `table-1280-${theme}`);
    }
    await page.getByRole('button', { name: 'Copy as text: Orders' }).click();
    await page.locator('.said', { hasText: 'Copied' }).waitFor({ state: 'attached' });
    const text = await page.evaluate(() => navigator.clipboard.readText());
    const rows = text.trimEnd().split('\n').map((l) => l.split('\t'));
    equal(rows[0].slice(0, 7), ['Part', 'What', 'Supplier', 'For', 'How many', 'Price of one', 'Together'], 'the heads');
    equal(rows[1].slice(0, 8), ['SH-8', 'half shells', 'Orsett Castings', 'both', '14', '42,50', '595.00', 'EUR'], 'the first row as it is sorted');
    truthy(rows.every((r) => r.length === rows[0].length), 'as many cells in every row');

    for (const [hash, title] of [['#/results', 'Results'], ['#/parts', 'Parts'], ['#/people', 'Phones']]) {
      await open(maud, hash);
      await page.locator('summary', { hasText: `${title} as a table` }).click();
      await page.locator('.as-table tbody tr').first().waitFor();
      await accessible(page, `${title} as a table`);
      await picture(page, `table-${title.toLowerCase()}-1280-day`);
    }
    await ready(maud);
    equal(maud.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await server.stop();
  }
}

export const cases = [['at a desk lists are tables that sort and are copied; an order takes one keep and is added up', desk]];
