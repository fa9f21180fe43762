// Monday morning: what the others entered since the lead last looked, by person and place, and whose phone is silent.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

async function monday() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const idris = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const { page } = maud;
  try {
    await open(maud, '#/today');
    await page.getByRole('heading', { name: 'Today' }).waitFor();
    await page.locator('.today').first().waitFor();
    equal(await page.getByTestId('came').count(), 0, 'who looks for the first time has nothing to catch up with');
    await open(idris, '#/point?asm=2123&at=crank.float&point=');
    await idris.page.getByRole('group', { name: 'Number pad' }).focus();
    await idris.page.keyboard.type('0.21');
    await idris.page.getByTestId('readback').filter({ hasText: '0.21' }).waitFor();
    await idris.page.getByTestId('keep').click();
    await idris.page.locator('.said', { hasText: 'Saved on this phone' }).waitFor({ state: 'attached' });
    await ready(idris);
    await page.getByTestId('came').getByText('Since you last looked: 1 entry by Idris Cole').waitFor();
    equal(await idris.page.evaluate(() => (location.hash = '#/today')), '#/today', 'his own list');
    await page.getByTestId('came').locator('summary').click();
    const line = page.getByTestId('came').locator('.line');
    truthy(/2123 · Crank and bearings\s+1 reading, Idris Cole/.test(await line.innerText()), `place and person: ${await line.innerText()}`);
    truthy(!(await page.getByTestId('came').innerText()).includes('0.21'), 'no figure: a check reading may be asked for');
    for (const dark of [false, true]) {
      await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
      for (const size of [deskSize, phoneSize]) {
        await page.setViewportSize(size);
        await accessible(page, `what came in, ${size.width} ${dark ? 'pit' : 'day'}`);
        await picture(page, `came-${size.width}-${dark ? 'pit' : 'day'}`);
      }
    }
    await page.reload(); // when somebody looked outlives the page
    await page.getByTestId('came').locator('summary').click();
    await line.click();
    await page.getByText('crank · end float').first().waitFor();
    await open(maud, '#/today');
    await page.getByTestId('came').locator('summary').click();
    await page.getByRole('button', { name: 'Seen', exact: true }).click();
    await page.getByTestId('came').waitFor({ state: 'detached' });
    for (const phone of [maud, idris]) equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await idris.forget();
    await server.stop();
  }
}

/** Two days pass on the lead's phone: the fitter's, which was last seen now, is silent since. */
async function silentPhone() {
  const server = await startServer({ demo: true });
  const idris = await paired(server, 'fitter', "Idris's own", 'Idris Cole');
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const { page } = maud;
  try {
    await open(maud, '#/today');
    await page.locator('.today').first().waitFor();
    equal(await page.getByText("Idris's own").count(), 0, 'heard from today');
    await maud.context.addInitScript(() => {
      const real = Date.now;
      Date.now = () => real() + 2 * 86_400_000;
    });
    await page.reload();
    await page.getByTestId('silent').locator('summary').click();
    await page.getByTestId('silent').getByText(/Idris's own: last here/).waitFor();
    await accessible(page, 'a phone that is silent');
    await picture(page, 'silent-390-day');
  } finally {
    await maud.forget();
    await idris.forget();
    await server.stop();
  }
}

export const cases = [
  ['what came in since the lead last looked, by person and place, until it is seen', monday],
  ['a phone that has not exchanged for long is named on the list of today', silentPhone],
];
