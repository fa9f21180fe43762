// A second job on the same office: a phone that was paired before it existed learns of it, is asked, and hands in what is
// kept in either; a newly paired one is asked which job.
import { deskSize, equal, openPhone, phoneSize, startServer, truthy } from '../lib.mjs';
import { begun } from '../capture/hold.mjs';
import { looks, open, paired, ready, targets } from '../steps.mjs';

const [first, second] = ['Railcar No. 4, the Heron', 'Inspection trolley'];

/** How many entries the office has of each job, by its title. */
const atOffice = (phone) => phone.page.evaluate(async () => {
  const { token } = await (await fetch('/api/v1/token', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{}' })).json();
  const { jobs } = await (await fetch('/api/v1/jobs', { headers: { Authorization: `Bearer ${token}` } })).json();
  return Object.fromEntries(jobs.map((j) => [j.title, j.pos]));
});

/** A lead begins the second job and enters who takes part in it. */
async function beginSecond({ page }) {
  await page.evaluate(() => (location.hash = '#/job'));
  await page.locator('summary', { hasText: 'Begin another job' }).click();
  await page.getByLabel('Title of the new job').fill(second);
  await page.getByRole('button', { name: 'Begin the new job' }).click();
  await page.getByRole('heading', { name: 'The first hour' }).waitFor();
  const people = page.locator('.first-steps > li', { has: page.locator('summary', { hasText: 'Who takes part' }) });
  await people.getByLabel('Name').fill('Ada Holt');
  await people.getByRole('button', { name: 'Keep the person' }).click();
  await people.locator('summary').getByText('done: Ada Holt').waitFor();
  await page.getByText('all handed in').waitFor();
}

async function keepNote(phone, text) {
  await open(phone, '#/point?asm=2117&at=main.3.journal&point=b.V');
  await phone.page.getByLabel('Note', { exact: true }).fill(text);
  await phone.page.getByRole('button', { name: 'Keep the note' }).click();
  await phone.page.locator('.notes li', { hasText: text }).waitFor();
}

const jobsOf = (phone) => phone.page.locator('section', { has: phone.page.getByRole('heading', { name: 'Which job?' }) });

async function twoJobs() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const phone = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const late = await openPhone(server.origin);
  try {
    await beginSecond(lead);
    await learns(phone);
    await worksInBoth(phone);
    await isAsked(server, late);
    equal([...lead.complaints, ...phone.complaints, ...late.complaints], [], 'the pages kept to their policy');
  } finally {
    for (const p of [lead, phone, late]) await p.forget();
    await server.stop();
  }
}

/** The phone that was there before: asked, not moved; what it learnt stays known without a network. */
async function learns(phone) {
  const { page } = phone;
  await open(phone, '#/phone');
  await page.getByRole('button', { name: 'Hand in and fetch' }).click();
  const asked = page.getByTestId('another-job');
  await asked.getByText(second).waitFor();
  truthy((await jobsOf(phone).innerText()).includes(`works in ${first}`), 'the job in hand has not changed');
  await targets(phone, 'this phone, asked about another job');
  await looks(page, 'jobs-asked');
  await page.setViewportSize(phoneSize);
  await open(phone, '#/job');
  await page.getByText(`The office has another job: '${second}'`).waitFor();
  await open(phone, '#/phone');
  await asked.getByRole('button', { name: 'Not on this phone' }).click();
  await page.getByText('At the office, not on this phone (1)').waitFor(); // then it is kept
  await phone.offline(true);
  await page.reload();
  await page.getByText('At the office, not on this phone (1)').click();
  await targets(phone, 'this phone, a job left at the office');
  await page.getByRole('button', { name: `Take '${second}' onto this phone` }).click();
  await page.getByTestId('other-job').filter({ hasText: `Of '${second}' nothing has come yet` }).waitFor();
  await phone.offline(false);
  await page.getByTestId('other-job').waitFor({ state: 'detached' });
  truthy((await jobsOf(phone).innerText()).includes(`works in ${first}`), 'taken, it is still not the one in hand');
}

/** What is kept in one waits while the other is in hand, is counted all the same, and goes in without changing back. */
async function worksInBoth(phone) {
  const { page } = phone;
  const before = await atOffice(phone);
  await phone.offline(true);
  await keepNote(phone, 'a note of the first job');
  await page.getByText('2 only on this phone').waitFor(); // its log's opening goes with it
  await open(phone, '#/phone');
  const choice = page.locator('label', { hasText: /^Job/ }).locator('select');
  await choice.selectOption({ label: second });
  await page.getByRole('heading', { name: 'In whose hands is this phone?' }).waitFor(); // Idris Cole is nobody there
  await page.getByRole('button', { name: 'Ada Holt' }).click();
  await page.getByTestId('other-job').filter({ hasText: `Only on this phone, of '${first}': 2 entries. They go to the office with the rest.` }).waitFor();
  await page.getByText('2 only on this phone').waitFor();
  await targets(phone, 'this phone, an entry of the other job waits');
  await looks(page, 'jobs-waits');
  await page.setViewportSize(phoneSize);
  await open(phone, '#/engine');
  await page.getByText('No engine has been set up yet').waitFor(); // the other job's engines are not here
  await phone.offline(false);
  await ready(phone);
  const after = await atOffice(phone);
  equal([after[first] > before[first], after[second]], [true, before[second]], 'the note went to the job that it was kept in, without changing back');
  await open(phone, '#/phone');
  await choice.selectOption({ label: first });
  await page.getByText(`works in ${first}`).waitFor();
  await keepNote(phone, 'another of the first job'); // nobody is asked again in whose hands it is
  await page.locator('.notes li', { hasText: 'a note of the first job' }).getByText('Idris Cole').waitFor();
  await begun(phone, { asm: '2123', test: 'cooling water', minutes: '20', pressure: '0.700', temp: '16' });
  await open(phone, '#/phone');
  await page.getByTestId('under-way').filter({ hasText: "the hold test 'cooling water' on 2123" }).waitFor(); // said before one changes to a job in which it does not ring
  await looks(page, 'jobs-under-way');
  await page.setViewportSize(phoneSize);
}

/** A phone that is paired when there are two is asked, and put in neither. */
async function isAsked(server, late) {
  const { page } = late;
  await page.goto(`${server.origin}/`);
  await page.getByLabel('Code').fill(server.pair('fitter').code);
  await page.getByRole('button', { name: 'Pair this phone' }).click();
  await page.getByRole('heading', { name: 'Which job?' }).waitFor();
  await targets(late, 'which job');
  await looks(page, 'jobs-which');
  await page.setViewportSize(phoneSize);
  await page.getByRole('button', { name: second }).click();
  await page.getByRole('button', { name: 'Ada Holt' }).click();
  await ready(late);
  await open(late, '#/phone');
  await page.getByText('At the office, not on this phone (1)').waitFor();
}

export const cases = [['two jobs on one office', twoJobs]];
