// A run followed from the office: the phone at the bench has a signal, a desk and a view link have the run open, and nobody
// touches them.
import { accessible, deskSize, equal, picture, startServer } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';
import { begun, logged, tapped, typed } from './steps.mjs';

async function followed() {
  const server = await startServer({ demo: true });
  const desk = await paired(server, 'lead', 'OF', 'Maud Ferris', { size: deskSize });
  const bench = await paired(server, 'fitter', 'T1', 'Idris Cole');
  const wall = await desk.context.newPage();
  try {
    await open(desk, '#/people');
    await desk.page.getByLabel('A link for volunteers, called').fill('tea-room');
    await desk.page.getByRole('button', { name: 'Make a link' }).click();
    await wall.goto(await desk.page.getByTestId('link').innerText());
    await wall.getByRole('heading', { name: 'What comes next' }).waitFor();
    equal(await wall.getByRole('heading', { name: 'Running now' }).count(), 0, 'nothing runs yet');
    await open(desk, '#/today');
    await begun(bench, { asm: '2117', title: 'stations' });
    await tapped(bench, 'fired', 'Fired');
    await desk.page.getByTestId('run-bar').getByRole('link', { name: 'To the run' }).click();
    await logged(desk, 'Fired');
    await typed(bench, 'oil.pressure', '2.8');
    await desk.page.locator('[data-testid="tile-oil.pressure"] .tile-figure', { hasText: '2.8' }).waitFor();
    const now = wall.locator('[data-slide=running]');
    await now.getByText(/Oil pressure 2\.8\sbar at \d/).waitFor();
    await accessible(wall, 'the view link while an engine runs');
    await tapped(bench, 'event-knock', 'Knock');
    await desk.page.getByTestId('alarm').getByText('Knock').waitFor();
    await now.getByText('■ Knock').waitFor();
    await picture(wall, 'view-running-1280-day');
    await picture(desk.page, 'run-followed-1280-day');
    await bench.page.getByTestId('alarm').getByRole('button', { name: '2117 has stopped' }).click();
    await desk.page.getByRole('heading', { name: 'Report, 2117' }).waitFor();
    await now.waitFor({ state: 'detached' });
    await ready(bench);
    equal([...desk.complaints, ...bench.complaints], [], 'the pages kept to their policy');
  } finally {
    await Promise.all([desk.forget(), bench.forget()]);
    await server.stop();
  }
}

export const cases = [['a run followed from a desk and a view link, untouched', followed]];
