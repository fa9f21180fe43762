// Paper in: a sheet is printed blank, with side and points on every page of it, and keyed in by keyboard alone; what is
// typed is an entry like a phone's, with who measured and when kept apart from who typed. A list from before is shown as it
// would be kept, with what is wrong, before anything is.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

const sheet = '#/paper?asm=2117&sheet=Crank%20and%20bearings&cond=machined%3A1';

/** Width and height of a PDF's pages in points, as the file says them. */
const boxOf = (pdf) => /\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/.exec(pdf.toString('latin1'))?.slice(1).map((n) => Math.round(Number(n)));

async function printed(desk) {
  await open(desk, sheet);
  const blank = desk.page.getByRole('region', { name: 'The sheet as it is printed' });
  await blank.waitFor();
  await accessible(desk.page, 'a blank sheet');
  await picture(desk.page, 'paper-1280-day');
  for (const [paper, box] of [['a4', [595, 842]], ['letter', [612, 792]]]) {
    await desk.page.getByLabel('Paper').selectOption(paper);
    const pdf = await desk.page.pdf({ preferCSSPageSize: true });
    equal(boxOf(pdf), box, `the page is ${paper}`);
    truthy(pdf.toString('latin1').split('/Type /Page\n').length > 2, 'the sheet takes more than one page');
  }
  await desk.page.emulateMedia({ media: 'print' });
  equal(await desk.page.evaluate(() => document.body.innerText.trim() === document.querySelector('.blank')?.innerText.trim()), true, 'only the sheet is printed');
  // A table's head stands again on every page that the table goes over.
  const heads = await blank.locator('thead').evaluateAll((all) => all.map((h) => [getComputedStyle(h).display, h.innerText]));
  truthy(heads.length > 0 && heads.every(([display, text]) => display === 'table-header-group' && text.includes('2117') && text.includes('left')), 'side and serial are on every page');
  await picture(desk.page, 'paper-print');
  await desk.page.emulateMedia({ media: 'screen' });
}

/** Types figures down a sheet without touching the mouse, and finds them in the record with their taker and day. */
async function keyedIn(desk) {
  await open(desk, `${sheet}&key=in`);
  await desk.page.getByLabel('Measured by').selectOption('pell');
  await desk.page.getByLabel('On the day').fill('2027-03-20');
  await desk.page.locator('.keyin').getByLabel('With').selectOption('M1');
  const box = (k) => desk.page.locator(`input[data-cell="${k}"]`);
  await box('main.1.journal/b.V').focus();
  const keys = desk.page.keyboard;
  const kept = (k) => desk.page.locator('td.is-kept', { has: box(k) }).waitFor();
  const focused = (k) => desk.page.waitForFunction((at) => document.activeElement?.getAttribute('data-cell') === at, k);
  await keys.type('74.531');
  await desk.page.waitForFunction(() => document.activeElement?.value === '74.531');
  await keys.press('Enter');
  await desk.page.getByText(/Enter once more keeps it/).first().waitFor(); // a quarter under nominal: asked, not refused
  await keys.press('Enter');
  await kept('main.1.journal/b.V');
  await focused('main.1.journal/b.H');
  await keys.type('74.9x');
  await keys.press('Enter');
  await desk.page.locator('td [role=alert]').first().waitFor();
  await accessible(desk.page, 'a sheet being keyed in');
  await picture(desk.page, 'keyin-1280-day');
  await keys.press('Escape');
  await keys.type('74.986');
  await keys.press('Enter');
  await kept('main.1.journal/b.H');
  await keys.press('ArrowUp');
  await keys.press('ArrowUp');
  await focused('main.1.journal/b.V');
  await keys.press('Escape');
  await keys.type('74.981');
  await keys.press('Enter'); // put right: the slip is covered, not doubled
  await focused('main.1.journal/b.H');
  await open(desk, '#/point?asm=2117&at=main.1.journal&point=b.V&cond=machined%3A1');
  await desk.page.locator('.reading', { hasText: '74.981' }).waitFor();
  equal(await desk.page.locator('.readings li.stands').count(), 1, 'one reading stands');
  await desk.page.locator('.reading', { hasText: '74.981' }).press('Enter');
  const facts = async (name) => (await desk.page.locator('dl > div', { has: desk.page.getByText(name, { exact: true }) }).locator('dd').innerText()).trim();
  await desk.page.getByText('written by', { exact: true }).waitFor();
  equal([await facts('read by'), await facts('measured'), await facts('written by')], ['Pell Oakes', '2027-03-20', 'Tamsin Rook'], 'who measured, when, and who typed');
}

const list = `engine;place;point;condition;value;unit;read by;date
2117;cyl.1.liner;top.thrust;after machining;107.06;mm;Idris Cole;about 2019
2117;cyl.2.liner;top.thrust;after machining;107.07;;;about 2019
2117;cyl.3.liner;top.thrust;after machining;107.08;mm;;autumn 2018
`;

async function listIn(desk) {
  await open(desk, '#/listin');
  await desk.page.getByLabel('The table').fill(list);
  await desk.page.getByTestId('list-count').filter({ hasText: '2 would be kept, 1 cannot be' }).waitFor();
  await desk.page.getByText('no unit is said').first().waitFor();
  for (const dark of [false, true]) {
    await desk.page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
    for (const size of [phoneSize, deskSize]) {
      await desk.page.setViewportSize(size);
      await accessible(desk.page, `a list, ${size.width} ${dark ? 'pit' : 'day'}`);
      await picture(desk.page, `listin-${size.width}-${dark ? 'pit' : 'day'}`);
    }
  }
  await desk.page.emulateMedia({ colorScheme: 'light' });
  await desk.page.getByLabel('in (value)').selectOption('mm'); // the person says the unit, nobody guesses it
  await desk.page.getByTestId('list-count').filter({ hasText: '3 would be kept, 0 cannot be' }).waitFor();
  await desk.page.getByRole('button', { name: 'Keep 3 readings' }).click();
  await desk.page.getByTestId('list-kept').filter({ hasText: '3 readings are kept' }).waitFor();
  await desk.page.getByLabel('The table').fill(list);
  await desk.page.getByTestId('list-count').filter({ hasText: '0 would be kept, 1 cannot be, 2 stand already' }).waitFor();
  await open(desk, '#/point?asm=2117&at=cyl.3.liner&point=top.thrust&cond=machined%3A1');
  const row = desk.page.locator('.reading', { hasText: '107.08' });
  await row.waitFor();
  truthy(/an unknown taker[\s\S]*measured autumn 2018/.test(await row.innerText()), 'nobody is named, and the words of the list stand');
}

async function paperIn() {
  const server = await startServer({ demo: true });
  const desk = await paired(server, 'fitter', 'OF', 'Tamsin Rook', { size: deskSize });
  try {
    await printed(desk);
    await keyedIn(desk);
    await listIn(desk);
    await ready(desk);
    equal(desk.complaints, [], 'the page kept to its policy');
  } finally {
    await desk.forget();
    await server.stop();
  }
}

export const cases = [['a sheet printed, keyed in, and a list from before', paperIn]];
