// The plan is the group's own: a stage is renamed, another put in with a hold point; the convention gets the grinder's numbers.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { looks, open, paired, ready } from '../steps.mjs';

/** A shop that letters its mains: a slip is seen beside ours before it is kept, and both stand at the place. */
async function ownWay(page) {
  await page.getByLabel('Whose numbers').fill('Orsett Grinding');
  await page.getByLabel('What he counts otherwise').selectOption('main');
  await page.getByLabel('How he counts').selectOption('list');
  const list = page.getByLabel('His for each of ours');
  await list.fill('A B C D E F C');
  await page.getByText('his main C stands twice: for our main 3 and 7').waitFor();
  await page.setViewportSize(phoneSize);
  await page.getByTestId('counted').scrollIntoViewIfNeeded();
  await looks(page, 'numbers');
  await page.getByRole('button', { name: 'Keep his numbers' }).click();
  equal(await page.getByTestId('counted').locator('tbody tr').last().innerText(), '7\tC', 'a slip is not kept, and stays to be put right');
  // Put right in the very moment in which the slip is handed in: what comes of that is about the slip.
  await list.evaluate((input) => {
    input.form.requestSubmit();
    input.value = 'A B C D E F G';
    input.dispatchEvent(new InputEvent('input', { bubbles: true }));
  });
  await page.getByText('his main C stands twice').waitFor({ state: 'detached' });
  equal(await page.getByTestId('counted').locator('tbody tr').last().innerText(), '7\tG', 'ours first, his beside it');
  await page.getByRole('button', { name: 'Keep his numbers' }).click();
  await page.getByText(/^Orsett Grinding counts otherwise: pin 1 is our pin 6, pin 6 our pin 1; main A B C D E F G is our main 1 2 3 4 5 6 7/).waitFor();
  await page.evaluate(() => { location.hash = '#/point?asm=2123&at=main.3.journal&point=b.V'; });
  await page.getByRole('heading', { name: 'main bearing 3 · journal' }).getByText("Orsett Grinding's main C").waitFor();
  await looks(page, 'numbers-place');
  await page.evaluate(() => { location.hash = '#/job'; });
}

async function ownPlan() {
  const server = await startServer({ demo: true });
  const maud = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const { page } = maud;
  try {
    await open(maud, '#/stages');
    await page.getByRole('link', { name: 'Change the plan' }).click();
    await page.locator('summary', { hasText: 'Clutch tests' }).click();
    await page.locator('.stages details[open]').getByLabel('Stage', { exact: true }).fill('Clutches tried');
    await page.getByRole('button', { name: 'One more stage' }).click();
    await page.locator('summary', { hasText: 'New stage' }).click();
    const added = page.locator('.stages > li', { has: page.locator('summary', { hasText: 'New stage' }) });
    await added.getByLabel('it ends in a hold point').check();
    await page.getByText('its hold point needs a number and what is looked for').waitFor();
    truthy(await page.getByRole('button', { name: 'Keep the plan' }).isDisabled(), 'what is wrong is not kept');
    await added.getByLabel('Its number').fill('HP15');
    await added.getByLabel('What is looked for').fill('Shown to the members');
    await added.getByLabel('It waits for').selectOption('measured');
    await added.getByLabel(/^of/).selectOption('Head and gasket');
    await added.getByRole('button', { name: 'Add it' }).click();
    await added.getByText('Head and gasket: every point answered').waitFor();
    await looks(page, 'plan');
    await page.getByRole('button', { name: 'Keep the plan' }).click();
    await page.getByRole('heading', { name: 'Stages and hold points' }).waitFor();
    await page.locator('.stages summary', { hasText: 'Clutches tried' }).waitFor();
    await page.locator('.stages summary', { hasText: 'New stage' }).first().waitFor();

    await open(maud, '#/job');
    await page.locator('summary', { hasText: 'How it is numbered' }).click();
    await page.getByText(/^Mr Lunt counts otherwise: pin 1 is our pin 6/).waitFor();
    await page.getByLabel('Whose numbers').fill('Orsett Grinding');
    await page.getByLabel('His pin 1 is our pin').fill('9');
    await page.getByRole('button', { name: 'Keep his numbers' }).click();
    await page.getByText('A whole number from 1 to 6').waitFor();
    await page.getByLabel('His pin 1 is our pin').fill('6');
    await page.getByRole('button', { name: 'Keep his numbers' }).click();
    await page.getByText(/^Orsett Grinding counts otherwise: pin 1 is our pin 6/).waitFor();
    await page.getByText(/^Mr Lunt counts otherwise/).waitFor();
    await ownWay(page);

    // A slip as a handbook printed it (TM 5-3895-369-14, bore out-of-round): kept as printed, not accepted in the same breath.
    await page.locator('summary', { hasText: /^Limit$/ }).click();
    const form = page.locator('form', { has: page.getByRole('button', { name: 'Keep the limit' }) });
    await form.getByLabel(/^Of what/).selectOption('liner.taper');
    await form.getByLabel('At most', { exact: true }).fill('0.76');
    await form.getByLabel('Printed in another unit too: at most').fill('0.003');
    await form.getByLabel(/^The other unit/).selectOption('in');
    await form.getByLabel('As printed, word for word').fill('bore taper 0.003 in (0.76 mm)');
    await form.getByRole('button', { name: 'Keep the limit' }).click();
    const line = page.locator('li', { hasText: 'bore taper 0.003 in (0.76 mm)' });
    await line.getByText(/In doubt: the two units do not agree: 0.76\s?mm is not 0.003\s?in/).waitFor();
    await line.getByText('not accepted').waitFor();
    await accessible(page, 'a limit in doubt');
    await picture(page, 'limit-doubt-1280-day');
    await form.getByLabel(/^Of what/).selectOption('liner.taper');
    await form.getByLabel(/it takes the place of at most 0.76/).fill('bore taper 0.003 in (0.076 mm), from the next printing');
    await form.getByLabel('At most', { exact: true }).fill('0.076');
    await form.getByRole('button', { name: 'Keep the limit' }).click();
    await page.locator('li', { hasText: 'from the next printing' }).getByText('accepted by Maud Ferris').waitFor({ state: 'attached' });
    equal(await line.count(), 0, 'one limit stands, not two against each other');
    await ready(maud);
    equal(maud.complaints, [], 'the page kept to its policy');
  } finally {
    await maud.forget();
    await server.stop();
  }
}

export const cases = [['the plan is changed: a stage renamed, one put in with its hold point; a grinder counts otherwise', ownPlan]];
