// A phone without a way to the office saves what is unsent as a file; the lead takes it in at the desk. All of it is there
// once, however often the file comes and although the phone hands the same in afterwards.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { accessible, deskSize, equal, picture, startServer, truthy } from '../lib.mjs';
import { open, paired, ready } from '../steps.mjs';

const photoFile = join(fileURLToPath(new URL('.', import.meta.url)), '..', '..', '..', 'testdata', 'demo', 'gk-7.jpg');
const state = (phone) => phone.page.getByTestId('phone-state');

/** Keeps a note at a main bearing; resolves when the phone shows it. */
async function note(phone, text) {
  await open(phone, '#/point?asm=2117&at=main.3.journal&point=a.V&cond=found');
  await phone.page.getByLabel('Note', { exact: true }).fill(text);
  await phone.page.getByRole('button', { name: 'Keep the note' }).click();
  await phone.page.locator('.notes').getByText(text).waitFor();
}

/** Opens the phone's part of Job and saves what a button saves. */
async function saved(phone, button) {
  await open(phone, '#/phone');
  const part = phone.page.locator('details.hand-in');
  await part.waitFor();
  if (!(await part.evaluate((d) => d.open))) await part.locator('summary').click();
  const [file] = await Promise.all([phone.page.waitForEvent('download'), phone.page.getByRole('button', { name: button }).click()]);
  return { name: file.suggestedFilename(), path: await file.path() };
}

/** Gives files to the desk and returns what it says of each. */
async function takenIn(desk, files) {
  await open(desk, '#/job');
  await desk.page.getByLabel('Take in a file from a phone').setInputFiles(files);
  const lines = desk.page.getByTestId('taken-in').locator('li');
  await lines.nth(files.length - 1).waitFor();
  return lines.allInnerTexts();
}

const named = ({ name, path }, mimeType) => ({ name, mimeType, buffer: readFileSync(path) });

async function fileFromAPhoneWithoutNetwork() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'fitter', 'Idris, phone', 'Idris Cole');
  const desk = await paired(server, 'lead', 'Office desk', 'Maud Ferris', { size: deskSize });
  await note(phone, 'with the office');
  await ready(phone);
  await phone.offline(true);
  for (const text of ['one without network', 'two without network', 'three without network']) await note(phone, text);
  await phone.page.getByText('3 only on this phone').waitFor();

  const file = await saved(phone, 'Save what is unsent as a file');
  await phone.page.getByTestId('hand-in-saved').getByText('3 entries saved as hand-in-Idris-phone-').waitFor();
  const [head, ...lines] = readFileSync(file.path, 'utf8').trimEnd().split('\n').map((l) => JSON.parse(l));
  equal([head.witnessmark, head.count, head.name, lines.length], ['hand-in', 3, 'Idris, phone', 3], 'the file');
  equal(lines.map((l) => l.body.text), ['one without network', 'two without network', 'three without network'], 'its entries');
  truthy((await state(phone).innerText()).includes('3 only on this phone'), 'saving a file hands nothing in');
  await accessible(phone.page, 'the phone with a saved file');
  await picture(phone.page, 'handin-phone-390-day');

  equal((await takenIn(desk, [named(file, 'application/x-ndjson')]))[0].replace(/^[^:]*: /, ''), '3 new entries, 0 here already. It says it is of Idris, phone.', 'the desk');
  await accessible(desk.page, 'the desk with a file taken in');
  await desk.page.getByTestId('taken-in').scrollIntoViewIfNeeded();
  await picture(desk.page, 'handin-desk-1280-day');
  truthy((await takenIn(desk, [named(file, 'application/x-ndjson')]))[0].includes('0 new entries, 3 here already'), 'the same file again adds nothing');
  const count = await desk.page.getByText('entries on this phone').innerText();

  await phone.offline(false);
  await ready(phone);
  await open(desk, '#/point?asm=2117&at=main.3.journal&point=a.V&cond=found');
  await desk.page.locator('.notes').getByText('three without network').waitFor();
  equal(await desk.page.locator('.notes').getByText('without network').count(), 3, 'each note stands once');
  await open(desk, '#/job');
  equal(await desk.page.getByText('entries on this phone').innerText(), count, 'the phone handed in nothing that is counted twice');
  equal([...phone.complaints, ...desk.complaints], [], 'no complaint of the content policy');
  await phone.forget();
  await desk.forget();
  await server.stop();
}

async function photoFromAPhoneWithoutNetwork() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'fitter', 'P2', 'Idris Cole', { dark: true });
  const desk = await paired(server, 'lead', 'Office desk', 'Maud Ferris', { size: deskSize, dark: true });
  await phone.offline(true);
  await open(phone, '#/point?asm=2117&at=main.5.journal&point=a.V&cond=found');
  await phone.page.locator('input[type=file][capture]').setInputFiles(photoFile);
  await phone.page.locator('.photos img').waitFor();
  const entries = await saved(phone, 'Save what is unsent as a file');
  const photo = await saved(phone, 'Save photo 1 of 1');
  equal(readFileSync(photo.path), readFileSync(photoFile), 'the photo as it was taken');
  await accessible(phone.page, 'the phone with a saved photo, in the pit');
  await picture(phone.page, 'handin-phone-390-pit');
  const said = await takenIn(desk, [named(entries, 'application/x-ndjson'), named(photo, 'image/jpeg'), { name: 'letter.txt', mimeType: 'text/plain', buffer: Buffer.from('Dear Maud') }]);
  truthy(said[0].includes('2 new entries') && said[1].includes('a photo, taken in'), `the desk says ${said}`);
  truthy(said[2].includes('neither a photo'), `a file of another kind: ${said[2]}`);
  await accessible(desk.page, 'the desk with a problem shown, in the pit');
  await desk.page.getByTestId('taken-in').scrollIntoViewIfNeeded();
  await picture(desk.page, 'handin-desk-1280-pit');
  await open(desk, '#/point?asm=2117&at=main.5.journal&point=a.V&cond=found');
  await desk.page.locator('.photos img').waitFor();
  equal([...phone.complaints, ...desk.complaints], [], 'no complaint of the content policy');
  await phone.forget();
  await desk.forget();
  await server.stop();
}

export const cases = [
  ['a phone without network saves its entries as a file and the desk takes them in once', fileFromAPhoneWithoutNetwork],
  ['a photo goes the same way', photoFromAPhoneWithoutNetwork],
];
