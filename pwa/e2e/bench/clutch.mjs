// Clutch tests: what is not tried, one tap each, tried again.
import { accessible, deskSize, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';
import { targets } from './steps.mjs';

const untried = async (phone) => Number.parseInt(await phone.page.getByTestId('untried').innerText(), 10);

async function tried() {
  const server = await startServer({ demo: true });
  try {
    for (const [size, light, dark] of [[phoneSize, 'day', false], [deskSize, 'pit', true]]) {
      const phone = await paired(server, 'fitter', `P${size.width}`, 'Pell Oakes', { size, dark });
      await open(phone, '#/clutch?asm=2123');
      await phone.page.getByRole('heading', { name: 'Clutch tests' }).waitFor();
      const before = await untried(phone); // hot: the scenario has tried a few, cold
      truthy(before > 10, `nothing is taken as tried: ${before}`);
      const drag = (state) => phone.page.getByRole('button', { name: `Drag when out, by the balance on the arm, 2123, hot: ${state}` });
      await drag('untried').click();
      await phone.page.getByLabel('Figure, N').fill('31');
      await accessible(phone.page, `clutch tests (${size.width}, ${light})`);
      await targets(phone, 'clutch tests');
      await phone.page.getByRole('button', { name: 'bad: keep it' }).click();
      await drag('bad').click();
      truthy((await untried(phone)) === before - 1, 'one is tried');
      await phone.page.getByLabel('Figure, N').fill('20');
      await phone.page.getByRole('button', { name: 'good: keep it' }).click();
      await drag('good').click();
      await phone.page.locator('.reading', { hasText: 'tried again since' }).waitFor();
      await picture(phone.page, `clutch-${size.width}-${light}`);
      await ready(phone);
      await phone.forget();
    }
  } finally {
    await server.stop();
  }
}

export const cases = [['what is tried of the clutches, and what is not', tried]];
