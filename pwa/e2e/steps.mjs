// What nearly every case does with a phone: pairs it, waits for it, opens a screen.
import { accessible, deskSize, equal, openPhone, phoneSize, picture } from './lib.mjs';

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
export const installed = (phone) => phone.page.evaluate(async () => {
  const { active } = await navigator.serviceWorker.ready;
  if (active.state === 'activating') await new Promise((done) => active.addEventListener('statechange', done, { once: true }));
  return active.state;
});

export const open = (phone, hash) => phone.page.evaluate((h) => (location.hash = h), hash);

/** How many entries only this phone has. */
export const waiting = async (phone) => Number.parseInt(await phone.page.getByTestId('phone-state').innerText(), 10) || 0;

/** Somebody sets the phone's clock back by an hour. */
export const clockBack = (phone) => phone.page.evaluate(() => {
  const real = Date.now.bind(Date);
  Date.now = () => real() - 3_600_000;
});

/** With twice the text no word is cut and nothing sticks out sideways. */
export async function twiceTheText(phone, name) {
  const bad = await phone.page.evaluate(() => {
    const root = document.documentElement;
    root.style.setProperty('font-size', `${2 * Number.parseFloat(getComputedStyle(root).fontSize)}px`);
    const cut = [...document.querySelectorAll('main button, main summary, main .figure')].filter((e) => e.checkVisibility() && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline');
    const said = cut.map((e) => `${e.textContent} is cut: ${e.scrollWidth} in ${e.clientWidth}`);
    const wide = root.scrollWidth - root.clientWidth;
    root.style.removeProperty('font-size');
    return wide > 0 ? [...said, `${wide} px stick out`] : said;
  });
  equal(bad, [], `twice the text on ${name}`);
}

/** Whatever can be touched is at least 48 px high, pad keys 64, a tick box with its words; nothing sticks out sideways. */
export async function targets(phone, name) {
  const small = await phone.page.evaluate(() =>
    [...document.querySelectorAll('main button, main select, main input:not([type=file]), main textarea, main .button, main .line, main summary, main .reading')]
      .map((e) => (e.type === 'checkbox' ? (e.closest('label') ?? e) : e))
      .filter((e) => e.checkVisibility())
      .map((e) => [e.getBoundingClientRect(), e])
      .filter(([r, e]) => r.height < (e.classList.contains('key') ? 63.5 : 47.5) || r.width < 43.5)
      .map(([r, e]) => `${Math.round(r.width)}×${Math.round(r.height)} ${e.outerHTML.slice(0, 90)}`));
  equal(small, [], `targets on ${name}`);
  const wide = await phone.page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  equal(wide, 0, `nothing sticks out sideways on ${name}`);
  await inSight(phone.page, name);
}

/** Whatever has the focus by the keyboard is in sight: nothing that stands still over the page lies on it (WCAG 2.2, 2.4.11). */
export async function inSight(page, name) {
  const under = await page.evaluate(() => {
    const had = document.activeElement;
    const all = [...document.querySelectorAll('main :is(a[href], button, select, input, textarea, summary, [tabindex="0"])')];
    const covered = all.filter((e) => e.checkVisibility() && !e.disabled && !e.closest('svg')).filter((e) => {
      e.focus();
      const { left, right, top, bottom } = e.getBoundingClientRect();
      const seen = document.elementFromPoint((left + right) / 2, (Math.max(top, 0) + Math.min(bottom, innerHeight)) / 2);
      return document.activeElement === e && right > left && seen !== null && seen.closest('.strip, .foot, .pad, .drill-line, .voice-bar') !== e.closest('.strip, .foot, .pad, .drill-line, .voice-bar');
    });
    had?.focus();
    return covered.map((e) => e.outerHTML.slice(0, 110));
  });
  equal(under, [], `what has the focus lies under something on ${name}`);
}

/** A screen as it is now, at both sizes and in both lights: nothing for axe, and pictures to look at. */
export async function looks(page, name) {
  for (const dark of [false, true]) {
    await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
    for (const size of [phoneSize, deskSize]) {
      await page.setViewportSize(size);
      await accessible(page, `${name}, ${size.width} ${dark ? 'pit' : 'day'}`);
      await picture(page, `${name}-${size.width}-${dark ? 'pit' : 'day'}`);
    }
  }
  await page.emulateMedia({ colorScheme: 'light' });
}

/** From the code that the office prints to the first step of the first hour. */
export async function begin(server, page) {
  await page.goto(`${server.origin}/`);
  await page.getByLabel('Code').fill(server.pair('lead').code);
  await page.getByRole('button', { name: 'Pair this phone' }).click();
  await page.getByLabel('Title').fill('Inspection trolley');
  await page.getByRole('button', { name: 'Begin' }).click();
  await page.getByRole('link', { name: 'Set it up, step by step' }).click();
  await page.getByRole('heading', { name: 'The first hour' }).waitFor();
}

/** What lies in a store of the phone: [key, value with byte lengths instead of bytes]. */
export const stored = (p, store) => p.page.evaluate((name) => new Promise((resolve, reject) => {
  const asked = indexedDB.open('witnessmark');
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const rows = [];
    const walk = asked.result.transaction(name).objectStore(name).openCursor();
    walk.onsuccess = () => {
      const c = walk.result;
      if (c === null) {
        asked.result.close();
        return resolve(rows);
      }
      const v = c.value;
      rows.push([c.key, v instanceof ArrayBuffer ? v.byteLength : v?.bytes instanceof ArrayBuffer ? { ...v, bytes: v.bytes.byteLength } : v]);
      c.continue();
    };
  };
}), store);

/**
 * Begins to look into the store again and again, drafts and entries in one transaction, until there is one more, with these words.
 * What was filled in must stand in one of the two at each look, and never in both. Returns when it has looked once.
 */
export const watch = (page, draft, entry = draft) => page.evaluate(([half, whole]) => new Promise((begun, refused) => {
  const late = Date.now() + 30_000;
  const asked = indexedDB.open('witnessmark');
  asked.onerror = () => refused(asked.error);
  asked.onsuccess = () => {
    let before; // how many entries there were: to count them takes no time, and the looks have to be close together
    const look = (done, fail) => {
      const tx = asked.result.transaction(['entries', 'drafts']);
      const count = tx.objectStore('entries').count();
      const drafts = tx.objectStore('drafts').getAll();
      tx.onabort = () => fail(tx.error);
      tx.oncomplete = () => {
        begun();
        before ??= count.result;
        const kept = count.result > before;
        if (JSON.stringify(drafts.result).includes(half) === kept) return fail(new Error(`${half} stood ${kept ? 'half filled in beside what was kept' : 'nowhere'}`));
        if (!kept && Date.now() > late) return fail(new Error('nothing was kept'));
        if (!kept) return look(done, fail);
        const entries = asked.result.transaction('entries').objectStore('entries').getAll();
        entries.onsuccess = () => (asked.result.close(), entries.result.some((e) => e.raw.includes(whole)) ? done() : fail(new Error(`what was kept is not ${whole}`)));
      };
    };
    globalThis.watched = new Promise(look);
    globalThis.watched.catch(() => undefined); // it is asked for later
  };
}), [draft, entry]);

/** Waits until what is watched is kept; throws when it stood twice or nowhere. */
export const keptOnce = (page) => page.evaluate(() => globalThis.watched);
