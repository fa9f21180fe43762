// Clutch tests: what is not tried, one tap each, tried again.
import { startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

const untried = async (phone) => Number.parseInt(await phone.page.getByTestId('untried').innerText(), 10);

async function tried() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'fitter', 'P4', 'Pell Oakes');
  try {
    await open(phone, '#/clutch?asm=2123');
    await phone.page.getByRole('heading', { name: 'Clutch tests' }).waitFor();
    const before = await untried(phone); // hot: the scenario has tried a few, cold
    truthy(before > 20, `nothing is taken as tried: ${before}`);
    const drag = (state) => phone.page.getByRole('button', { name: new RegExp(`^2123 hot ${state}.*, Drag when out`) });
    await drag('untried').click();
    await phone.page.getByLabel('Figure, N').fill('31');
    await phone.page.getByRole('button', { name: 'bad: keep it' }).click();
    await drag('bad').click();
    truthy((await untried(phone)) === before - 1, 'one is tried');
    await phone.page.getByLabel('Figure, N').fill('20');
    await phone.page.getByRole('button', { name: 'good: keep it' }).click();
    await drag('good').click();
    await phone.page.locator('.reading', { hasText: 'tried again since' }).waitFor();
    await ready(phone);
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [['what is tried of the clutches, and what is not', tried]];
