// What if, with no signal: both engines move on a copy, and nothing is written.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { installed, open, paired, waiting } from '../steps.mjs';

async function imagined() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const { page } = phone;
  try {
    equal(await installed(phone), 'activated', 'the app is kept on the phone');
    await phone.offline(true);
    const before = await waiting(phone);
    await open(phone, '#/results');
    await page.getByRole('link', { name: 'What if' }).click();
    await page.getByLabel(/^Another gasket/).fill('1,86');
    await page.getByRole('button', { name: 'Look: the gasket' }).click();
    for (const asm of ['2117', '2123']) await page.locator(`section[aria-label="Moved on ${asm}"] li`, { hasText: 'compression ratio' }).locator('.then-now .word', { hasText: 'outside' }).waitFor();
    await accessible(page, 'what if, 390');
    await picture(page, 'whatif-390-day');
    await page.setViewportSize(deskSize);
    await page.emulateMedia({ colorScheme: 'dark' });
    await accessible(page, 'what if, 1280, dark');
    await picture(page, 'whatif-1280-pit');
    await page.getByRole('button', { name: /^Take away: gasket/ }).click();
    await page.getByText('Nothing is imagined yet.').waitFor();
    await page.getByLabel(/^Another size/).selectOption('2123');
    await page.getByLabel(/^Place/).selectOption('pin.4.journal');
    await page.getByLabel(/^Reading/).locator('option', { hasText: '61.768' }).waitFor({ state: 'attached' });
    await page.getByLabel(/^Reading/).selectOption({ index: 1 });
    await page.getByLabel(/^If it were/).fill('61.310');
    await page.getByRole('button', { name: 'Look: the size' }).click();
    await page.locator('.moves li', { hasText: 'next undersize' }).getByText('0.50 mm → 0.75 mm').waitFor();
    await page.locator('section[aria-label="Moved on 2117"]').getByText('Nothing of it moves.').waitFor();
    await page.setViewportSize(phoneSize);
    equal(await waiting(phone), before, 'nothing was written');
    await open(phone, '#/result?id=undersize%2F2123%2Fpin%2Ffound');
    await page.locator('.vals').getByText('0.50').first().waitFor();
    truthy(!(await page.locator('main').innerText()).includes('0.75'), 'the job is as it was');
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [['what if: another gasket and another size move both engines on a copy, and nothing is written', imagined]];
