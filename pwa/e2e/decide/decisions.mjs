// A decision that cuts original metal, the page for the machinist, and the reading that changes under it.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

const pin4 = '#/point?asm=2123&at=pin.4.journal&point=b.V&cond=found';

async function decidedOnPaper() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const idris = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const { page } = maud;
  try {
    await open(maud, '#/result?id=undersize%2F2123%2Fpin%2Ffound');
    await page.locator('summary', { hasText: 'Decide on this' }).click();
    await page.getByLabel('grind all alike to this undersize').check();
    await page.getByLabel('Why', { exact: true }).fill('one set of shells for the spares shelf');
    await page.getByLabel('it removes original metal').check();
    await page.getByLabel(/^What else was thought of/).fill('metal spray on pin 4 alone: nobody near does it');
    await page.getByLabel('Who agreed').fill('the trustees, 7 March');
    await page.getByLabel('What comes of it').selectOption('work');
    await page.getByLabel('Who machines it').fill('Mr Lunt');
    await page.getByLabel('What else the machinist must know').fill('fillet 3.0 mm; crack test after');
    await page.setViewportSize(phoneSize);
    await accessible(page, 'taking a decision');
    await picture(page, 'decide-390-day');
    await page.setViewportSize(deskSize);
    await page.getByRole('button', { name: 'Keep the decision, 2123' }).click();
    const row = page.locator('.instruction tr', { hasText: 'big-end pin 4' });
    await row.waitFor();
    const cells = await row.locator('th, td').allInnerTexts();
    equal(cells.slice(0, 3).map((t) => t.replace('\u2009', ' ')), ['big-end pin 4 · journal', '3', '61.500 mm'], 'what, the machinist counts it, the size');
    truthy((await page.locator('.instruction .sketch').innerHTML()).includes('61.500'), 'the sketch has the size');
    for (const theme of ['dark', 'light']) {
      await page.emulateMedia({ colorScheme: theme });
      await accessible(page, `the page for the machinist, ${theme}`);
    }
    await picture(page, 'instruction-1280-day');
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize({ width: 794, height: 1123 }); // A4 at 96 to the inch
    const tall = await page.locator('.instruction').evaluate((el) => el.scrollHeight);
    truthy(tall < 1123, `it prints on one page: ${tall} px`);
    await picture(page, 'instruction-print');
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize(deskSize);
    await ready(maud);
    await open(idris, pin4);
    await idris.page.locator('.readings a.reading').first().click();
    const id = await idris.page.evaluate(async () => new URLSearchParams(location.hash.split('?')[1]).get('id'));
    await open(idris, `${pin4}&over=${id}`);
    await idris.page.getByText('This takes the place of the reading').waitFor();
    await idris.page.getByRole('group', { name: 'Number pad' }).focus();
    await idris.page.keyboard.type('61.310');
    await idris.page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.310'));
    await idris.page.getByTestId('keep').click();
    const asked = idris.page.locator('.question');
    await asked.or(idris.page.locator('.kept')).first().waitFor();
    if ((await asked.count()) > 0) await idris.page.getByTestId('keep').click();
    await idris.page.locator('.kept').waitFor();
    await ready(idris);
    await page.getByText('Do not machine from this page.').waitFor();
    await page.getByRole('link', { name: 'The decision' }).click();
    const moved = page.locator('.moved tr', { hasText: 'Undersize' });
    await moved.waitFor();
    equal((await moved.locator('td').allInnerTexts()).map((t) => t.replace('\u2009', ' ')), ['0.50 mm', '0.75 mm'], 'old beside new');
    for (const size of [phoneSize, deskSize]) {
      await page.setViewportSize(size);
      await accessible(page, `a decision, ${size.width}`);
      await picture(page, `decision-${size.width}-day`);
    }
    await open(maud, '#/today');
    await page.locator('.today.look', { hasText: 'decision: undersize pin' }).waitFor();
    for (const phone of [maud, idris]) equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await idris.forget();
    await server.stop();
  }
}

export const cases = [['a decision that cuts original metal goes to the machinist on one page, and says so when a reading changes under it', decidedOnPaper]];
