// The first hour: a new group goes from an empty office to its first reading by what the app says, step by step.
import { join } from 'node:path';
import { accessible, deskSize, equal, openPhone, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { begin, looks, paired, targets } from '../steps.mjs';

/** Fills the open step's form and keeps it. */
async function step(page, title, button, values) {
  const box = page.locator('.first-steps > li', { has: page.locator('summary', { hasText: title }) });
  await box.and(page.locator('.now')).waitFor(); // the app itself says that this is next
  for (const [label, value] of Object.entries(values)) {
    const field = box.getByLabel(new RegExp(`^${label.replace(/[().±]/g, '\\$&')}`)).first(); // a choice has its words in its label too
    if ((await field.evaluate((e) => e.tagName)) === 'SELECT') await field.selectOption(value);
    else await field.fill(value);
  }
  await box.getByRole('button', { name: button }).click();
}

const done = (page, title, what) => page.locator('.first-steps > li', { has: page.locator('summary', { hasText: title }) }).locator('summary').getByText(what).waitFor();

const convention = { Called: 'C1', 'Number 1 is at the': 'fan end', 'The other end is the': 'clutch end', 'Left and right are seen': 'facing the fan', 'Left is': 'bay 1', 'Right is': 'bay 2' };

async function firstHour() {
  const server = await startServer();
  const phone = await openPhone(server.origin);
  const { page } = phone;
  try {
    await begin(server, page);
    await page.getByText('Turn the engine by hand').waitFor();
    for (const dark of [false, true]) {
      await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
      for (const size of [deskSize, phoneSize]) {
        await page.setViewportSize(size);
        await accessible(page, `the first hour, ${size.width} ${dark ? 'pit' : 'day'}`);
        await picture(page, `first-${size.width}-${dark ? 'pit' : 'day'}`);
      }
    }
    await page.getByRole('button', { name: 'Keep the person' }).first().click();
    equal(await page.evaluate(() => document.querySelector('form:has(input:invalid) input:invalid').validationMessage), 'Name: fill this in first.', 'what is missing is said in our words');
    await step(page, 'Who takes part', 'Keep the person', { Name: 'Ada Holt' }); // the first one leads
    await page.getByTestId('entered').filter({ hasText: 'Ada Holt: entered.' }).waitFor();
    await targets(phone, 'the first hour, another person');
    await looks(page, 'first-another');
    await page.setViewportSize(phoneSize);
    await step(page, 'Who takes part', 'Keep the person', { Name: 'Bo Lind' }); // it stays open: one usually enters several
    await page.getByTestId('entered').filter({ hasText: '2 are entered' }).waitFor();
    await page.getByRole('button', { name: 'Nobody else: go on' }).click();
    await done(page, 'Who takes part', 'done: Ada Holt, Bo Lind');
    await step(page, 'How it is numbered', 'Sign the convention', convention);
    await step(page, 'The engine type', 'Keep the type', { Name: 'Twin T2', Cylinders: '2', 'One end is called': 'fan end', 'The other': 'clutch end', 'Main journal, new, largest, mm': '50.000' });
    await step(page, 'The two engines', 'Keep the engine', { 'Serial, as it is stamped on the block': '101', 'Its name, as it is said aloud': 'one', 'It is now': 'left' });
    await page.getByText('101', { exact: true }).waitFor();
    const second = page.locator('.first-steps > li.now');
    await page.waitForFunction(() => document.querySelector('.first-steps > li.now select')?.value === 'hatched'); // the band that is free
    await step(page, 'The two engines', 'Keep the engine', { 'Serial, as it is stamped on the block': '102', 'Its name, as it is said aloud': 'two', 'It is now': 'right' });
    await done(page, 'The two engines', 'done: 101, 102');
    truthy(await second.isVisible(), 'the next step is open');
    await step(page, 'What you measure with', 'Keep the instrument', { Tag: 'M1', 'What it is': 'micrometer 25 to 50', 'One step of its scale': '0.001', 'What its certificate, or your own check, allows (±, k = 2)': '0.004', 'Calibration due again on the day': '2031-05-02' });
    await done(page, 'What you measure with', 'done: M1');
    await page.getByRole('link', { name: /^Measure 101: main bearing 1/ }).click();
    await page.getByRole('group', { name: 'Number pad' }).focus();
    await page.keyboard.type('49.981');
    await page.getByTestId('readback').filter({ hasText: '49.981' }).waitFor();
    await page.getByTestId('keep').click();
    await page.locator('.said', { hasText: 'Saved on this phone' }).waitFor({ state: 'attached' });
    await page.evaluate(() => (location.hash = '#/first'));
    await page.getByTestId('first-done').filter({ hasText: 'The first reading is kept' }).waitFor();
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

const photoFile = new URL('../../../testdata/demo/gk-7.jpg', import.meta.url).pathname;

const list = `place;point;value;read by;date
main bearing 1 · journal;b.V;49.98;;about 2019
main bearing 2 · journal;b.V;49.97;Old Tom;about 2019
`;

/** A job that was half done when the office began: what was over before is kept as that, and an old notebook's figures as they stand in it. */
async function inTheMiddle() {
  const server = await startServer();
  const phone = await openPhone(server.origin);
  const { page } = phone;
  try {
    await begin(server, page);
    await step(page, 'Who takes part', 'Keep the person', { Name: 'Ada Holt' });
    await page.getByRole('button', { name: 'Nobody else: go on' }).click();
    await done(page, 'Who takes part', 'done: Ada Holt');
    await step(page, 'How it is numbered', 'Sign the convention', convention);
    await step(page, 'The engine type', 'Keep the type', { Name: 'Twin T2', Cylinders: '2', 'One end is called': 'fan end', 'The other': 'clutch end', 'Main journal, new, largest, mm': '50.000' });
    await step(page, 'The two engines', 'Keep the engine', { 'Serial, as it is stamped on the block': '101', 'Its name, as it is said aloud': 'one', 'It is now': 'left' });
    await page.getByText('101', { exact: true }).waitFor();
    await page.getByRole('heading', { name: 'Half of it is done already?' }).waitFor();
    await page.locator('.first-steps > li', { has: page.locator('summary', { hasText: 'What you measure with' }) }).locator('summary').first().click();
    const tool = page.locator('.first-steps > li', { has: page.locator('summary', { hasText: 'What you measure with' }) });
    for (const [label, text] of Object.entries({ Tag: 'M1', 'What it is': 'micrometer 25 to 50', 'One step of its scale': '0.01', 'What its certificate': '0.02' })) await tool.getByLabel(new RegExp(`^${label}`)).fill(text);
    await tool.getByLabel(/^How it was checked/).selectOption({ label: 'on our own bar or ring' });
    await tool.getByText("What ± and 'k = 2' mean").click();
    await tool.getByText('divide its ± by that k').waitFor();
    await targets(phone, 'the first hour, a word explained');
    await tool.getByText("What ± and 'k = 2' mean").evaluate((el) => el.scrollIntoView({ block: 'center' }));
    await looks(page, 'first-meaning');
    await page.setViewportSize(phoneSize);
    await tool.getByRole('button', { name: 'Keep the instrument' }).click();
    await done(page, 'What you measure with', 'done: M1');
    await accessible(page, 'the first hour, in the middle of a job');
    await page.getByRole('heading', { name: 'Half of it is done already?' }).scrollIntoViewIfNeeded();
    await picture(page, 'first-middle-390');

    const limits = page.locator('.first-steps > li', { has: page.locator('summary', { hasText: 'What is allowed' }) });
    await limits.locator('summary').first().click();
    await limits.getByText("What 'as read' and 'with margin' mean").click();
    await limits.getByText('too close to call').waitFor();
    await limits.getByLabel('Take a photo', { exact: true }).setInputFiles(photoFile);
    await limits.getByText('one photo with it').waitFor();
    await limits.getByRole('textbox', { name: 'At most', exact: true }).fill('0.05');
    await accessible(page, 'a limit by a photo of the page');
    await picture(page, 'first-limit-390');
    await limits.getByRole('button', { name: 'Keep the limit' }).click(); // no words: the photo shows them
    await done(page, 'What is allowed', 'done: 1 accepted');
    await page.evaluate(() => (location.hash = '#/job'));
    await page.locator('details', { has: page.getByText("'see the photo of the page'", { exact: true }) }).locator('summary').click();
    await page.getByText("'see the photo of the page'", { exact: true }).waitFor();
    await page.getByRole('link', { name: 'photo of the page' }).click();
    await page.locator('img').first().waitFor();
    await page.evaluate(() => (location.hash = '#/first'));
    await page.getByRole('link', { name: 'Stages that were over before' }).click();
    await page.getByRole('button', { name: 'Put in the common plan' }).click();
    const stage = page.locator('.hold-point').first();
    await stage.locator('summary').click();
    await picture(page, 'first-stages-390');
    await stage.getByRole('button', { name: 'Done before, not recorded', exact: true }).click();
    await stage.getByRole('button', { name: 'Keep as done before, not recorded' }).click();
    await stage.getByRole('alert').getByText('Say who says so').waitFor(); // on nobody's word it is not written
    await targets(phone, 'a stage done before, asked');
    await looks(page, 'first-before');
    await page.setViewportSize(phoneSize);
    await stage.getByLabel('Who says that it was done').fill('Old Tom');
    await stage.getByLabel('How that is known').fill('his notebook of 2019');
    await stage.getByRole('button', { name: 'Keep as done before, not recorded' }).click();
    await stage.locator('summary', { hasText: 'done before' }).waitFor();
    await stage.getByText('Old Tom says so: his notebook of 2019').waitFor();
    truthy(!/signed|concession/i.test(await stage.innerText()), 'it does not read as a signature');
    await stage.evaluate((el) => el.scrollIntoView({ block: 'center' }));
    await looks(page, 'first-done-before');
    await page.setViewportSize(phoneSize);

    await page.goBack();
    await page.getByRole('link', { name: 'Take in a list' }).click();
    await page.getByLabel('The table').fill(list);
    await page.getByLabel(/^Engine/).first().selectOption('101');
    await page.getByTestId('list-count').filter({ hasText: '0 would be kept, 2 cannot be' }).waitFor();
    await picture(page, 'first-list-390');
    await page.getByLabel('in (value)').selectOption('mm');
    await page.getByText("nobody here is called 'Old Tom'").waitFor(); // no name is made up, and none is lost silently
    await page.getByLabel('The table').fill(list.replace('Old Tom', 'nobody knows')); // as the choice above says it; what the columns are stays
    await page.getByTestId('list-count').filter({ hasText: '2 would be kept, 0 cannot be' }).waitFor();
    await page.getByRole('button', { name: 'Keep 2 readings' }).click();
    await page.getByTestId('list-kept').waitFor();
    await page.evaluate(() => (location.hash = '#/point?asm=101&at=main.1.journal&point=b.V&cond=found'));
    const row = page.locator('.reading', { hasText: '49.98' });
    await row.waitFor();
    truthy(/an unknown taker[\s\S]*measured about 2019/.test(await row.innerText()), 'nobody is named, and the year stands as it was said');
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

/** A second job begins with the set-up of the first: nothing of its vehicle comes along, and its limits judge nothing yet. */
async function jobToCopy() {
  const [from, to] = [await startServer({ demo: true }), await startServer()];
  const lead = await paired(from, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const phone = await openPhone(to.origin);
  const { page } = phone;
  try {
    await lead.page.evaluate(() => (location.hash = '#/job'));
    const [file] = await Promise.all([lead.page.waitForEvent('download'), lead.page.getByRole('button', { name: 'Save this set-up for another job' }).click()]);
    const path = join(lead.profile, 'set-up.json');
    await file.saveAs(path);
    await begin(to, page);
    await page.locator('summary', { hasText: 'Is there a job to copy?' }).click();
    await page.locator('.button.file', { hasText: 'Take a set-up file' }).locator('input').setInputFiles(path);
    await page.getByText('From Railcar No. 4, the Heron').waitFor();
    await accessible(page, 'a set-up to take in');
    await picture(page, 'first-copy-390');
    const wick = page.getByLabel(/Wick Sayer/);
    await wick.uncheck();
    await page.getByRole('button', { name: /^Take in \d+$/ }).click();
    await page.getByTestId('setup-kept').waitFor();
    await done(page, 'Who takes part', /done: .*and more/);
    await done(page, 'The engine type', 'done: Ellandry U6');
    await done(page, 'What you measure with', /done: .*and more/);
    truthy((await page.locator('.first-steps > li.now summary').first().innerText()).includes('How it is numbered'), 'the numbering is agreed anew');
    await page.locator('.button.file', { hasText: 'Take a set-up file' }).locator('input').setInputFiles(path);
    await page.getByRole('button', { name: 'Take in 1', exact: true }).waitFor(); // all but the one who was left out are here already
    await beside(lead, path);
    equal([...lead.complaints, ...phone.complaints], [], 'the pages kept to their policy');
  } finally {
    await lead.forget();
    await phone.forget();
    await from.stop();
    await to.stop();
  }
}

/** A second job on the same office, and back to the first: what was written in either stays there. */
async function beside({ page }, path) {
  await page.locator('summary', { hasText: 'Begin another job' }).click();
  await page.getByLabel('Title of the new job').fill('Inspection trolley');
  await page.getByRole('button', { name: 'Begin the new job' }).click();
  await page.getByRole('heading', { name: 'The first hour' }).waitFor();
  await page.locator('summary', { hasText: 'Is there a job to copy?' }).click();
  await page.locator('.button.file', { hasText: 'Take a set-up file' }).locator('input').setInputFiles(path);
  await page.getByRole('button', { name: /^Take in \d+$/ }).click();
  await page.getByTestId('setup-kept').waitFor();
  await page.getByText('all handed in').waitFor();
  await page.evaluate(() => (location.hash = '#/phone'));
  const jobs = page.locator('label', { hasText: /^Job/ }).locator('select');
  equal((await jobs.locator('option').allInnerTexts()).toSorted(), ['Inspection trolley', 'Railcar No. 4, the Heron'], 'both jobs are here');
  await jobs.selectOption({ label: 'Railcar No. 4, the Heron' });
  await page.evaluate(() => (location.hash = '#/engine?asm=2117'));
  await page.locator('.drawing svg').first().waitFor();
}

export const cases = [['the first hour begins with the set-up of another job', jobToCopy], ['the first hour: from an empty office to the first reading', firstHour], ['the first hour of a job that is half done', inTheMiddle]];
