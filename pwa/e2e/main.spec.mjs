// The main job in a real browser against the real server: two phones without
// signal, one journal, one correction each, and the ruling that ends it.
import { accessible, deskSize, equal, openPhone, phoneSize, picture, startServer, truthy } from './lib.mjs';
import { inSight, installed, open, paired, ready, stored, waiting } from './steps.mjs';

async function openPoint(phone, asm, at, point, more = '') {
  await open(phone, `#/point?asm=${asm}&at=${at}&point=${point}&cond=found${more}`);
  await phone.page.locator(`.pad[data-at="pad:${asm}/${at}/${point}/found"]`).waitFor(); // no more that of the point before
}

/** Types on the pad and keeps; resolves when the phone says that it is saved. */
async function keep(phone, text) {
  const before = await waiting(phone);
  const pad = phone.page.getByRole('group', { name: 'Number pad' });
  await pad.focus();
  await phone.page.keyboard.press('Escape');
  await phone.page.keyboard.type(text);
  const shown = phone.page.getByTestId('readback').filter({ hasText: text.slice(-3) });
  await shown.waitFor();
  const button = phone.page.getByTestId('keep');
  await phone.page.waitForFunction((t) => document.querySelector('[data-testid=keep]')?.textContent?.includes(t), text);
  truthy(/seventeen|twenty-three/.test(await button.innerText()), 'Keep says whose value it keeps');
  await button.click();
  if (await phone.page.getByText('Keep it as it stands').isVisible()) await button.click();
  await phone.page.waitForFunction((n) => Number.parseInt(document.querySelector('[data-testid=phone-state]')?.textContent ?? '0', 10) > n, before);
}

async function resultsText(phone) {
  await open(phone, '#/results');
  await phone.page.getByRole('heading', { name: 'Results', exact: true }).waitFor();
  await phone.page.locator('.lines .line').first().waitFor();
  return (await phone.page.locator('main').innerText()).replace(/\s+/g, ' ').replace('Results as a table, to sort and copy ', ''); // what only a desk offers
}

async function twoPhonesOneJournal() {
  const server = await startServer({ demo: true });
  const a = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const b = await paired(server, 'fitter', 'P4', 'Pell Oakes');
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  try {
    for (const p of [a, b]) {
      equal(await installed(p), 'activated', 'the app is kept on the phone');
      await p.offline(true);
      await p.page.reload(); // a cold start with nobody answering
      await p.page.locator('.drawing svg').filter({ visible: true }).first().waitFor();
    }
    await openPoint(a, '2117', 'main.3.journal', 'b.V');
    await a.page.locator('.pad').waitFor();
    truthy((await a.page.locator('main').innerText()).includes('hidden: show'), "the twin's value is hidden until one's own is kept");
    await keep(a, '74.980');
    await openPoint(b, '2117', 'main.3.journal', 'b.V');
    await keep(b, '74.960');
    for (const [p, text] of [[a, '74.986'], [b, '74.985']]) {
      await openPoint(p, '2123', 'main.1.journal', 'b.H');
      await p.page.locator('.reading', { hasText: '74.989' }).first().press('Enter');
      await p.page.getByRole('link', { name: 'Correct it' }).click();
      await keep(p, text);
    }
    truthy((await waiting(a)) >= 2 && (await waiting(b)) >= 2, 'what is only on this phone is said');
    await picture(a.page, 'phone-offline');
    await open(a, '#/phone');
    await a.page.locator('summary', { hasText: 'What is only on this phone' }).click();
    await a.page.getByRole('link', { name: /reading: main bearing 3 · journal.*74\.980/ }).waitFor();
    for (const p of [a, b]) {
      await p.offline(false);
      await ready(p);
    }
    // Each must also have what the other handed in.
    const settled = (p) => p.page.waitForFunction(() => /main bearing 1 · journal/.test(document.querySelector('main')?.textContent ?? '') && /main 3 journal/.test(document.querySelector('main')?.textContent ?? ''));
    for (const p of [a, b, lead]) {
      await open(p, '#/today');
      await settled(p);
    }
    equal(await resultsText(a), await resultsText(b), 'both phones show the same results');
    equal(await resultsText(a), await resultsText(lead), 'and so does the desk');
    truthy((await resultsText(a)).includes('Readings differ at main 3 journal'), 'two readings that differ are shown with both names');
    await ruling(lead, a);
    await deciding(lead);
    for (const p of [a, b, lead]) equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await Promise.all([a.forget(), b.forget(), lead.forget()]);
    await server.stop();
  }
}

/** The lead settles the contested correction; the phones see it end. */
async function ruling(lead, phone) {
  await open(lead, '#/today');
  await lead.page.locator('.today.stop', { hasText: 'main bearing 1 · journal, plane b, square to it' }).click();
  await lead.page.getByRole('button', { name: /74\.986/ }).click();
  await lead.page.getByText('Say why').waitFor(); // nothing is settled without a reason
  await accessible(lead.page, 'contest');
  await picture(lead.page, 'desk-contest');
  await lead.page.getByLabel('Why it is so').fill('measured again together: 74.986');
  await lead.page.getByRole('button', { name: /74\.986/ }).click();
  await lead.page.getByRole('heading', { name: 'Today' }).waitFor();
  await open(phone, '#/today');
  await phone.page.waitForFunction(() => document.querySelector('h1')?.textContent === 'Today' && !document.querySelector('main')?.textContent?.includes('main bearing 1 · journal'));
}

/** The lead decides on a result; the decision stands under Job with its reason. */
async function deciding(lead) {
  await open(lead, '#/result?id=undersize%2F2123%2Fpin%2Ffound');
  await lead.page.locator('summary', { hasText: 'Decide on this' }).click();
  await lead.page.getByLabel('grind all alike to this undersize').check();
  await lead.page.getByLabel('Why', { exact: true }).fill('all six pins to 0.50, one set of shells');
  await lead.page.getByRole('button', { name: 'Keep the decision' }).click();
  await lead.page.locator('.decision').waitFor();
  await open(lead, '#/job');
  await lead.page.getByText('all six pins to 0.50, one set of shells').waitFor();
}

const screens = [
  ['engine', '#/engine?asm=2123', '.drawing svg'], ['point', '#/point?asm=2123&at=pin.4.journal&point=b.V&cond=found', '.pad'],
  ['sheet', '#/sheet?asm=2117', 'table.sheet, summary'], ['today', '#/today', '.line'], ['results', '#/results', '.line'],
  ['result', '#/result?id=clearance%2F2117%2Fmain.7%2Ffound', '.vals'], ['gasket', '#/gasket', '.drawing svg'],
  ['tighten', '#/tighten?asm=2123&joint=head&cond=trial%3AGK-7', '.drawing svg'], ['job', '#/job', '.part'], ['phone', '#/phone', '.facts'],
  ['workouts', '#/workout', '.line'], ['stages', '#/stages', '.notice, .stages'], ['workout', '#/workout?name=ringgap', '.outcome'],
];

/** Every screen in both sizes and both lights: nothing for axe to find, and a picture of each. */
async function everyScreen() {
  const server = await startServer({ demo: true });
  try {
    for (const [size, light, dark] of [[phoneSize, 'day', false], [phoneSize, 'pit', true], [deskSize, 'day', false]]) {
      const phone = await paired(server, 'lead', 'P1', 'Maud Ferris', { size, dark });
      let exchanges = 0;
      phone.context.on('request', (r) => r.url().endsWith('/exchange') && exchanges++);
      for (const [name, hash, there] of screens) {
        await open(phone, hash);
        await phone.page.locator(there).filter({ visible: true }).first().waitFor();
        await accessible(phone.page, `${name} (${size.width}, ${light})`);
        await picture(phone.page, `${name}-${size.width}-${light}`);
      }
      await targets(phone);
      await open(phone, screens[1][1]);
      const pad = await phone.page.locator('.key').evaluateAll((keys) => keys.map((k) => k.getBoundingClientRect()).filter((r) => r.height < 64 || r.width < 64).length);
      equal(pad, 0, 'keys of the pad under 64 px');
      truthy(exchanges <= 6, `a phone at rest asks nothing: ${exchanges} exchanges`);
      await phone.forget();
    }
  } finally {
    await server.stop();
  }
}

/** Whatever can be touched is at least 48 by 48 (T61). */
async function targets(phone) {
  for (const [name, hash, there] of screens) {
    await open(phone, hash);
    await phone.page.locator(there).filter({ visible: true }).first().waitFor();
    const small = await phone.page.evaluate(() =>
      [...document.querySelectorAll('button, select, input:not([type=radio]):not([type=checkbox]):not([type=file]), textarea, .button, .line, nav a, [data-place] .hit, [data-fastener] .hit')]
        .filter((e) => e.checkVisibility())
        .map((e) => [e.getBoundingClientRect(), e.outerHTML.slice(0, 90)])
        .filter(([r]) => r.width > 0 && (r.height < 47.5 || r.width < 43.5))
        .map(([r, html]) => `${Math.round(r.width)}×${Math.round(r.height)} ${html}`),
    );
    equal(small, [], `targets on ${name}`);
    await inSight(phone.page, name);
  }
}

/** A volunteer opens a link with no pairing, sees the job live, and is out at once when it ends. */
async function viewLink() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const visitor = await openPhone(server.origin);
  try {
    await open(lead, '#/people');
    await lead.page.getByLabel('A link for volunteers, called').fill('open day');
    await lead.page.getByRole('button', { name: 'Make a link' }).click();
    await visitor.page.goto(await lead.page.getByTestId('link').innerText());
    await visitor.page.getByText('Railcar No. 4, the Heron').first().waitFor();
    await visitor.page.locator('svg').first().waitFor();
    await accessible(visitor.page, 'the volunteers\' page');
    await picture(visitor.page, 'view-link-390');
    truthy(!(await visitor.page.locator('body').innerText()).includes('Maud'), 'nobody is named');
    await openPoint(lead, '2117', 'main.2.journal', 'b.V');
    await keep(lead, '74.871');
    await visitor.page.getByText(/74\.871/).first().waitFor({ state: 'attached' }); // it came by itself
    await open(lead, '#/people');
    await lead.page.getByRole('button', { name: 'End it' }).first().click();
    await visitor.page.getByText('no longer works').waitFor();
  } finally {
    await Promise.all([lead.forget(), visitor.forget()]);
    await server.stop();
  }
}

/** Fills in one of the set-up forms and keeps it. */
async function setUp(phone, title, button, values) {
  const box = phone.page.locator('details').filter({ has: phone.page.locator('summary', { hasText: new RegExp(`^${title}$`) }) });
  if ((await box.getAttribute('open')) === null) await box.locator('summary').first().click();
  for (const [label, value] of Object.entries(values)) {
    const field = box.getByLabel(new RegExp(`^${label.replace(/[().±]/g, '\\$&')}`)).first();
    if ((await field.evaluate((e) => e.tagName)) === 'SELECT') await field.selectOption(value);
    else await field.fill(value);
  }
  const entries = await phone.page.evaluate(() => Number(document.querySelector('.fine .figure')?.textContent));
  await box.getByRole('button', { name: button }).click();
  await phone.page.waitForFunction((n) => Number(document.querySelector('.fine .figure')?.textContent) > n, entries);
}

/** The next name is begun in the very moment in which one is kept: it stays, and is kept too. */
async function begunMeanwhile(phone) {
  const name = phone.page.locator('details', { has: phone.page.locator('summary', { hasText: /^People$/ }) }).getByLabel('Name');
  await name.fill('Ben Ash');
  const entries = await phone.page.evaluate(() => Number(document.querySelector('.fine .figure')?.textContent));
  await name.evaluate((input) => {
    input.form.requestSubmit();
    input.value = 'Cora Dell';
    input.dispatchEvent(new InputEvent('input', { bubbles: true }));
  });
  await phone.page.waitForFunction((n) => Number(document.querySelector('.fine .figure')?.textContent) > n, entries);
  equal(await name.inputValue(), 'Cora Dell', 'the name that was begun');
  await setUp(phone, 'People', 'Keep the person', {});
}

/** A group with nothing: the first job, people, type, engines, and a first clearance, all on the phone. */
async function firstSaturday() {
  const server = await startServer();
  const phone = await openPhone(server.origin);
  try {
    await phone.page.goto(`${server.origin}/#pair=${server.pair('lead').code}`);
    await phone.page.getByRole('button', { name: 'Pair this phone' }).click();
    await phone.page.getByLabel('Title').fill('Inspection trolley');
    await phone.page.getByRole('button', { name: 'Begin' }).click();
    await phone.page.getByText('No engine has been set up yet').waitFor();
    await open(phone, '#/job');
    await setUp(phone, 'People', 'Keep the person', { Name: 'Ada Holt', 'May do': 'lead' });
    await begunMeanwhile(phone);
    await setUp(phone, 'How it is numbered', 'Sign the convention', {
      Called: 'C1', 'Number 1 is at the': 'fan end', 'The other end is the': 'clutch end', 'Left and right are seen': 'facing the fan', 'Left is': 'bay 1', 'Right is': 'bay 2',
    });
    await open(phone, '#/type');
    for (const [label, value] of Object.entries({ Name: 'Twin T2', Cylinders: '2', 'One end is called': 'fan end', 'The other': 'clutch end', 'Main journal, new, largest, mm': '50.000', 'Head studs': '7', 'Torque of each pass, N·m': '30 60' })) await phone.page.getByLabel(label, { exact: true }).fill(value);
    await phone.page.getByRole('button', { name: 'Keep the type' }).click();
    await phone.page.getByRole('heading', { name: /^Twin T2/ }).waitFor();
    await open(phone, '#/job');
    // The page of the first went before its side was kept: entered once more, only that is. The bands are as the form offers them.
    for (const [asm, name, side] of [['101', 'one', ''], ['101', 'one', 'left'], ['102', 'two', 'right']]) {
      await setUp(phone, 'Engine', 'Keep the engine', { 'Serial, as it is stamped on the block': asm, 'Its name, as it is said aloud': name, 'It is now': side });
      await phone.page.locator('main .engine-name', { hasText: asm }).first().waitFor({ state: 'attached' });
    }
    await setUp(phone, 'Instrument', 'Keep the instrument', { Tag: 'M1', 'What it is': 'micrometer 25 to 50', 'One step of its scale': '0.001', 'What its certificate, or your own check, allows (±, k = 2)': '0.004' });
    await setUp(phone, 'Limit', 'Keep the limit', { 'Of what': 'main.clearance', 'At least': '0.040', 'At most': '0.090', 'As printed, word for word': '0.04 to 0.09 mm' });
    await accessible(phone.page, 'set-up');
    for (const [at, text, words] of [['main.2.journal', '49.981', /2 · journal/], ['main.2.shell', '50.050', /2 · bore/]]) {
      await open(phone, `#/point?asm=102&at=${at}&point=b.V`);
      await phone.page.getByRole('heading', { name: words }).waitFor();
      await phone.page.getByRole('group', { name: 'Number pad' }).focus();
      await phone.page.keyboard.type(text);
      await phone.page.getByRole('button', { name: new RegExp(`Keep ${text}.*102, right`) }).click();
      await phone.page.locator('.said', { hasText: 'Saved on this phone' }).waitFor({ state: 'attached' });
    }
    await open(phone, '#/result?id=clearance%2F102%2Fmain.2%2Ffound');
    await phone.page.getByText(/Clearance, plane b, in the throw 0\.069/).first().waitFor();
    truthy((await phone.page.locator('main').innerText()).includes('bay 2'), 'the result says which engine, and where');
    const kept = (await stored(phone, 'entries')).map(([, e]) => JSON.parse(e.raw));
    equal(kept.filter((e) => e.kind === 'engine').map((e) => `${e.body.asm} ${e.body.band}`).sort(), ['101 solid', '102 hatched'], 'engines as they were entered');
    equal(kept.filter((e) => e.kind === 'fitting').length, 2, 'their sides');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

const photoFile = new URL('../../testdata/demo/gk-7.jpg', import.meta.url).pathname;

/** A photo taken without signal is there after a cold start, goes in apart, and another phone sees it. */
async function photoOffline() {
  const server = await startServer({ demo: true });
  const a = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const b = await paired(server, 'fitter', 'P4', 'Pell Oakes');
  const seen = (p) => p.page.waitForFunction(() => [...document.querySelectorAll('figure img')].some((i) => i.complete && i.naturalWidth > 0));
  try {
    await installed(a);
    await a.offline(true);
    await openPoint(a, '2123', 'pin.2.journal', 'b.V');
    await a.page.getByLabel('Take a photo').setInputFiles(photoFile);
    await a.page.locator('.said', { hasText: 'Photo saved on this phone' }).waitFor({ state: 'attached' });
    await a.page.reload();
    await seen(a);
    truthy((await waiting(a)) >= 2, 'entry and bytes are both only on this phone');
    await a.offline(false);
    await ready(a);
    await openPoint(b, '2123', 'pin.2.journal', 'b.V');
    await seen(b);
  } finally {
    await Promise.all([a.forget(), b.forget()]);
    await server.stop();
  }
}

/** What this phone alone has, in the order of its log. */
const waitingEntries = (phone) => phone.page.evaluate(() => new Promise((resolve) => {
  const asked = indexedDB.open('witnessmark');
  asked.onsuccess = () => {
    const all = asked.result.transaction('entries').objectStore('entries').getAll();
    all.onsuccess = () => (asked.result.close(), resolve(all.result.filter((e) => e.waits === 1).map((e) => JSON.parse(e.raw)).sort((a, b) => a.seq - b.seq)));
  };
}));

const inDrafts = (what) => new Promise((resolve) => {
  const asked = indexedDB.open('witnessmark');
  asked.onsuccess = () => {
    const got = asked.result.transaction('drafts').objectStore('drafts')[what]();
    got.onsuccess = () => (asked.result.close(), resolve(got.result));
  };
});
const draftsLeft = (phone) => phone.page.evaluate(inDrafts, 'getAllKeys');

/** A figure half typed is on the phone a moment after its last key: a kill before that takes the key. */
async function halfTyped(phone, text) {
  while (!(await phone.page.evaluate(inDrafts, 'getAll')).some((d) => d.t === text)) await phone.page.evaluate(() => new Promise((done) => requestAnimationFrame(done)));
}

/** The browser is killed in the middle of captures: whatever was shown as saved is there (T2). */
async function killedWhileKeeping() {
  const server = await startServer({ demo: true });
  let phone = await paired(server, 'fitter', 'P2', 'Idris Cole', { lasting: true });
  const { profile } = phone;
  try {
    await installed(phone);
    await phone.offline(true);
    // Each moment twice: the browser goes at the first sight of what was kept, with the Keep key pressed, with a figure half typed.
    const moments = ['kept', 'pressed', 'half typed', 'kept', 'pressed', 'half typed'];
    const texts = moments.map((_, i) => `106.98${i}`);
    for (const [i, text] of texts.entries()) {
      await openPoint(phone, '2117', `cyl.${i + 1}.liner`, 'top.thrust');
      await phone.page.getByRole('group', { name: 'Number pad' }).focus();
      await phone.page.keyboard.type(text);
      await phone.page.getByRole('button', { name: new RegExp(`^Keep ${text}`) }).click({ noWaitAfter: true });
      if (moments[i] !== 'pressed') await phone.page.locator('.kept', { hasText: text }).waitFor();
      if (moments[i] === 'half typed') {
        await openPoint(phone, '2117', 'cyl.6.liner', 'bottom.thrust');
        await phone.page.getByRole('group', { name: 'Number pad' }).focus();
        await phone.page.keyboard.press('Escape');
        await phone.page.keyboard.type('106.9');
        await halfTyped(phone, '106.9');
      }
      await phone.kill();
      phone = await openPhone(server.origin, { profile });
      await phone.offline(true);
      await phone.page.goto(`${server.origin}/`);
      await phone.page.locator('.drawing svg').filter({ visible: true }).first().waitFor();
    }
    const own = await waitingEntries(phone);
    equal(own.map((e) => e.seq), own.map((_, i) => i + 1), 'the own log goes on without a gap, and no number is there twice');
    const kept = own.filter((e) => e.kind === 'reading').map((e) => e.body.value.t);
    equal(texts.filter((t, i) => moments[i] !== 'pressed' && !kept.includes(t)), [], 'shown as saved and lost');
    equal(kept.length, new Set(kept).size, 'no reading twice');
    for (const [i, text] of texts.entries()) {
      if (!kept.includes(text)) continue;
      await openPoint(phone, '2117', `cyl.${i + 1}.liner`, 'top.thrust');
      await phone.page.locator('.reading', { hasText: text }).waitFor();
    }
    // What is kept is no longer half filled in: it must not come back on the pad to be kept twice.
    const pressed = texts.flatMap((t, i) => (kept.includes(t) ? [] : [`pad:2117/cyl.${i + 1}.liner/top.thrust/found`]));
    equal((await draftsLeft(phone)).filter((k) => k.startsWith('pad:') && !pressed.includes(k)), ['pad:2117/cyl.6.liner/bottom.thrust/found'], 'drafts of the pad');
    await openPoint(phone, '2117', 'cyl.6.liner', 'bottom.thrust');
    await phone.page.getByTestId('readback').filter({ hasText: '106.9' }).waitFor(); // half-typed, and still there (T3)
    await phone.offline(false);
    // Chromium writes cookies out twice a minute: killed before that, the phone has lost its secret, and nothing else.
    await open(phone, '#/phone');
    const again = phone.page.getByRole('button', { name: 'Pair again' });
    await again.or(phone.page.getByText('all handed in')).first().waitFor();
    if (await again.isVisible()) {
      await phone.page.getByLabel(/To pair it again/).fill(server.pair('fitter').code);
      await again.click();
    }
    await ready(phone);
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [
  ['an empty workshop: set-up and a first clearance', firstSaturday],
  ['two phones, one journal, no signal', twoPhonesOneJournal],
  ['every screen, both sizes, both lights', everyScreen],
  ['a link for volunteers', viewLink],
  ['a photo without signal', photoOffline],
  ['killed while keeping', killedWhileKeeping],
];
