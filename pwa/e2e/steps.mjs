// What nearly every case does with a phone: pairs it, waits for it, opens a screen.
import { openPhone } from './lib.mjs';

export const ready = (phone) => phone.page.getByText('all handed in').waitFor();

/** Opens a phone, pairs it and says in whose hands it is. `origin` stands before the server, where something does; `before` is done to the phone first. */
export async function paired(server, role, name, person, { workshop = false, origin = server.origin, before, ...options } = {}) {
  const phone = await openPhone(origin, options);
  await before?.(phone);
  await phone.page.goto(`${origin}/`);
  await phone.page.getByLabel('Code').fill(server.pair(role).code);
  await phone.page.getByLabel('What this phone is called').fill(name);
  if (workshop) await phone.page.getByLabel("the workshop's, from hand to hand").check();
  await phone.page.getByRole('button', { name: 'Pair this phone' }).click();
  await phone.page.getByRole('button', { name: person }).click();
  await ready(phone);
  return phone;
}

/** Waits until the service worker has the whole app, so that it starts with nobody answering. */
export const installed = (phone) => phone.page.evaluate(async () => (await navigator.serviceWorker.ready).active?.state);

export const open = (phone, hash) => phone.page.evaluate((h) => (location.hash = h), hash);

/** How many entries only this phone has. */
export const waiting = async (phone) => Number.parseInt(await phone.page.getByTestId('phone-state').innerText(), 10) || 0;
