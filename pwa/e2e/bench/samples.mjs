// What samples by itself: a logger's file taken in with its columns said by the person, and a gauge that types into the run.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { keptOnce, open, paired, ready, stored, targets, watch } from '../steps.mjs';
import { begun, logged, tapped } from './steps.mjs';

/** Twenty minutes at one a second with a comma for the point, one peak of a second and two minutes without a row. */
function loggerFile() {
  const rows = ['made by a recorder', 'no;time;oil;water'];
  for (let s = 0; s < 1200; s++) {
    if (s >= 600 && s < 720) continue;
    const clock = new Date(s * 1000).toISOString().slice(11, 19);
    rows.push(`${s};${clock};${s === 333 ? '2,99' : '3,0'};${(60 + s / 100).toFixed(1).replace('.', ',')}`);
  }
  return rows.join('\r\n');
}

async function takenIn(size, dark, asm) {
  const server = await startServer({ demo: true });
  const light = dark ? 'pit' : 'day';
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris', { size, dark });
  const { page } = phone;
  try {
    await open(phone, `#/run?asm=${asm}`);
    await page.getByRole('link', { name: /pair, uncoupled/ }).click();
    await page.getByRole('link', { name: `Take in a logger's file, ${asm}` }).click();
    await page.getByRole('heading', { name: `A logger's file, ${asm}` }).waitFor();
    await page.locator('input[type=file]').setInputFiles({ name: 'saturday.csv', mimeType: 'text/csv', buffer: Buffer.from(loggerFile()) });
    await page.getByTestId('logger-wants').getByText('what parts the columns; which one column is the time').waitFor();
    equal(await page.getByTestId('logger-keep').count(), 0, 'nothing can be kept while something is not said');
    await page.getByLabel('Columns are parted by').selectOption({ label: 'semicolons' });
    await page.getByLabel('Rows above the figures').fill('2');
    await page.getByLabel('Figures are written').selectOption({ label: 'with a comma: 2,8' });
    await page.getByLabel('First row: minutes since the start').fill('5');
    for (const [column, role, unit] of [['time', 'time', 'a time as 10:42:31'], ['oil', 'Oil pressure', 'bar'], ['water', 'Coolant out', '°C']]) {
      await page.getByRole('combobox', { name: column, exact: true }).selectOption({ label: role });
      await page.getByRole('combobox', { name: `${column} is in`, exact: true }).selectOption({ label: unit });
    }
    await page.getByTestId('logger-count').getByText('1080 rows, from 5:00 to 24:59 since the start, as 4 entries; 0 wrong, 0 empty').waitFor();
    await accessible(page, 'the logger file');
    await targets(phone, 'the logger file');
    await picture(page, `logger-${size.width}-${light}`);
    await page.getByTestId('logger-keep').click();
    await page.getByTestId('logger-kept').getByText('1080 samples are kept').waitFor();
    await page.getByRole('link', { name: 'To the run' }).click();
    const drawing = page.locator('.run figure', { hasText: 'Oil pressure against time' }).locator('svg');
    await drawing.waitFor();
    const shape = await drawing.locator('polyline').evaluateAll((lines) => lines.map((l) => l.getAttribute('points').split(' ').map((p) => Number(p.split(',')[1]))).filter((y) => y.length > 2)); // the other engine has a point or two that were typed
    equal(shape.length, 2, 'two minutes without a row are a gap');
    truthy(new Set(shape.flat()).size === 2, 'the one second at 2,99 is drawn');
    truthy(shape.flat().length < 1080, `${shape.flat().length} points are drawn of 1080`);
    await drawing.scrollIntoViewIfNeeded();
    await accessible(page, 'the drawings of what was sampled');
    await picture(page, `sampled-${size.width}-${light}`);
    await ready(phone);
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

/** A gauge that types: with no signal, its figures stand as a draft through a reload, are kept as one block, and raise the alarm. */
async function typedByItself() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const { page } = phone;
  try {
    await begun(phone, { asm: '2117', title: 'stations' });
    await phone.offline(true);
    await tapped(phone, 'fired', 'Fired');
    await tapped(phone, 'seen', 'Oil pressure seen'); // else the ten seconds after firing raise an alarm of their own
    await page.getByTestId('sampling').locator('summary').click();
    await page.getByTestId('sampling').getByRole('combobox', { name: 'Gauge', exact: true }).selectOption({ label: 'Coolant out' });
    await page.getByTestId('sampling').getByLabel('Its figures are in').selectOption({ label: '°C' });
    const state = page.getByTestId('sampling-state');
    await state.getByText('not listening').waitFor();
    await page.getByTestId('sampling-box').focus();
    await state.getByText('● listening').waitFor();
    const came = page.getByTestId('sampling-came');
    const send = async (text, n) => {
      await page.keyboard.type(text);
      await page.keyboard.press('Enter');
      await came.getByText(`${n} came, not kept yet, the last ${text.replace(',', '.')}`).waitFor();
    };
    await send('71,5', 1);
    await send('72.0', 2);
    await page.keyboard.type('E-12');
    await page.keyboard.press('Enter');
    await page.getByText('The gauge sent E-12, which is no figure.').waitFor();
    await accessible(page, 'a gauge that types');
    await targets(phone, 'a gauge that types');
    await picture(page, 'sampling-390-day');
    await page.reload();
    await page.getByTestId('sampling').locator('summary').click();
    await came.getByText('2 came, not kept yet, the last 72.0').waitFor();
    await page.getByTestId('sampling-box').focus();
    await send('93', 3);
    const figures = '"71.5","72.0","93"';
    for (const late = Date.now() + 30_000; !JSON.stringify(await stored(phone, 'drafts')).includes(figures);) truthy(Date.now() < late, `${figures} are a draft`);
    await watch(page, figures, '71.5 72.0 93');
    await page.getByTestId('sampling-keep').click();
    await keptOnce(page);
    await logged(phone, 'Coolant out in °C: 3 samples, each with its time');
    await page.getByTestId('alarm').getByText('Coolant out 93').waitFor(); // the scenario stops at 92
    await page.getByTestId('sampling-box').focus();
    for (let i = 0; i < 59; i++) { // the sixtieth ends the block by itself
      await page.keyboard.type('80');
      await page.keyboard.press('Enter');
    }
    await came.getByText('59 came').waitFor();
    await page.keyboard.type('81');
    await page.keyboard.press('Enter');
    await logged(phone, 'Coolant out in °C: 60 samples');
    await page.getByTestId('alarm').waitFor({ state: 'detached' });
    await phone.offline(false);
    await ready(phone);
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [
  ['a logger file taken in at the phone', () => takenIn(phoneSize, false, '2117')],
  ['a logger file taken in at the desk, in the pit light', () => takenIn(deskSize, true, '2123')],
  ['a gauge that types into the run, with no signal', typedByItself],
];
