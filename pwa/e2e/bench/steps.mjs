// What the cases of the bench do with a phone.
import { truthy } from '../lib.mjs';
import { open } from '../steps.mjs';

/** Fills in the card and begins the run. */
export async function begun(phone, { asm, title, most }) {
  await open(phone, `#/run?asm=${asm}`);
  await phone.page.getByRole('heading', { name: 'The run card' }).waitFor();
  await phone.page.getByLabel('What kind of run').selectOption(title);
  if (most !== undefined) await phone.page.getByLabel('May run at most, minutes').fill(most);
  const yes = phone.page.getByRole('button', { name: 'Yes, seen' });
  for (let i = 0, n = await yes.count(); i < n; i++) await yes.nth(i).click();
  await phone.page.getByText('are not answered').waitFor({ state: 'detached' });
  await phone.page.getByTestId('begin-run').click();
  await phone.page.getByTestId('fired').waitFor();
}

/** One tap, and it stands in the log. */
export async function tapped(phone, id, words) {
  await phone.page.getByTestId(id).click();
  await logged(phone, words);
}

/** Waits until the log holds a line with these words. */
export async function logged(phone, words) {
  await phone.page.locator('.run-log .reading', { hasText: words }).first().waitFor({ state: 'attached' });
}

/** A gauge: two taps plus the figures. */
export async function typed(phone, what, text, shown) {
  await phone.page.getByTestId(`tile-${what}`).click();
  await figures(phone, text);
  await phone.page.locator(`[data-testid="tile-${what}"] .tile-figure`, { hasText: shown ?? text }).waitFor();
}

export async function figures(phone, text) {
  const pad = phone.page.getByRole('group', { name: 'Number pad' });
  await pad.focus();
  await phone.page.keyboard.type(text);
  const keep = phone.page.getByTestId('keep');
  await phone.page.waitForFunction((t) => document.querySelector('[data-testid=keep]')?.textContent?.includes(t), text);
  truthy(/seventeen|twenty-three/.test(await keep.innerText()), 'the pad says whose figure it keeps');
  await keep.click();
  await pad.waitFor({ state: 'detached' });
}

/** The seconds since the start that the screen shows. */
export const shownSeconds = async (phone) => (await phone.page.getByTestId('run-clock').innerText()).split(':').reduce((s, t) => 60 * s + Number(t), 0);
