// Finding and tags in a real browser: offline search, a scanned address after a cold start, what a phone says that was
// not paired or has another job, and that the printed codes can be read.
import jsqr from 'jsqr';
import { accessible, deskSize, equal, openPhone, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { installed, open, paired } from '../steps.mjs';

const found = (phone) => phone.page.getByTestId('found');

/** Types into the field and waits until the core has answered. */
async function type(phone, q, says) {
  await phone.page.getByRole('searchbox').fill(q);
  await phone.page.locator(`.finds[data-q="${q}"]`).waitFor();
  truthy((await found(phone).innerText()).includes(says), `'${q}': ${await found(phone).innerText()}`);
}

/** The finds under each heading, as a reader goes through them. */
const groups = (phone) =>
  phone.page.locator('section.found').evaluateAll((all) => all.map((g) => [g.querySelector('h2').innerText.replace(/\s+/g, ' ').trim(), [...g.querySelectorAll('.line-title')].map((t) => t.innerText.trim())]));

/** No signal, a cold start: one tap, a few letters, and Enter on a link opens the place. */
async function offlineSearch() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const { page } = phone;
  try {
    equal(await installed(phone), 'activated', 'the app is kept on the phone');
    await phone.offline(true);
    await page.reload();
    await page.locator('.drawing svg').filter({ visible: true }).first().waitFor();
    const way = page.getByRole('link', { name: 'Find', exact: true });
    const box = await way.boundingBox();
    truthy(box.width >= 48 && box.height >= 48, `the way to finding is ${box.width} by ${box.height}`);
    await way.click();
    await page.getByText('As in main 3').waitFor();
    truthy(await page.evaluate(() => document.activeElement?.name === 'q'), 'one can type at once');
    await type(phone, 'pin 4 journal', 'found');
    const list = await groups(phone);
    truthy(/^2117 seventeen left · position A$/.test(list[0][0]) && /^2123 twenty-three right · position B$/.test(list[1][0]), `left before right: ${list.map((g) => g[0])}`);
    equal([list[0][1][0], list[1][1][0]], ['2117 big-end pin 4 · journal', '2123 big-end pin 4 · journal'], 'the first finds');
    await picture(page, 'find-390-day');
    await type(phone, 'lunt pin 3 right', 'found');
    truthy((await page.locator('main').innerText()).includes("our pin 4 is Mr Lunt's pin 3"), 'both numbers are said');
    await page.keyboard.press('Tab');
    equal(await page.evaluate(() => document.activeElement?.getAttribute('href')), '#/point?asm=2123&at=pin.4.journal', 'Tab goes to the first find');
    await page.keyboard.press('Enter');
    await page.locator('.pad').waitFor();
    truthy((await page.locator('.strip').innerText()).includes('right · position B'), 'the strip says where');
    await page.goBack();
    await page.getByRole('searchbox').waitFor();
    equal(await page.getByRole('searchbox').inputValue(), 'lunt pin 3 right', 'the way back finds the same again');
    await type(phone, '2117-H', 'shown');
    await page.getByRole('alert').filter({ hasText: 'one character is off' }).waitFor();
    await type(phone, 'zzz', 'Nothing found');
    await page.reload(); // a cold start still knows where this phone was
    await type(phone, '', 'Where this phone was last');
    truthy((await groups(phone)).some(([head, lines]) => head.startsWith('2123') && lines.includes('2123 big-end pin 4 · journal')), 'the place is among the recent ones');
    await picture(page, 'find-recent-390-day');
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

/** The addresses of the tags as they are printed, read from what is drawn. */
async function codesPrinted(phone) {
  const reader = await phone.context.newPage();
  const out = [];
  for (const code of await phone.page.locator('.paper-tag .qr').all()) {
    await code.scrollIntoViewIfNeeded();
    const png = (await code.screenshot()).toString('base64');
    const { greys, width, height } = await reader.evaluate(async (data) => {
      const bitmap = await createImageBitmap(await (await fetch(`data:image/png;base64,${data}`)).blob());
      const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
      const context = canvas.getContext('2d');
      context.drawImage(bitmap, 0, 0);
      const { data: rgba } = context.getImageData(0, 0, bitmap.width, bitmap.height);
      const greys = String.fromCharCode(...rgba.filter((_, i) => i % 4 === 0));
      return { greys, width: bitmap.width, height: bitmap.height };
    }, png);
    const pixels = new Uint8ClampedArray([...greys].flatMap((c) => [c.charCodeAt(0), c.charCodeAt(0), c.charCodeAt(0), 255]));
    out.push(jsqr(pixels, width, height)?.data ?? 'not readable');
  }
  await reader.close();
  return out;
}

const choose = (phone, group, title) =>
  phone.page.locator('.tag-groups section').filter({ has: phone.page.getByRole('heading', { name: group }) }).getByRole('checkbox', { name: title });

/** Tags chosen at the desk, printed on both papers; a phone reads one from the sheet and opens the place with no signal. */
async function printedAndScanned() {
  const server = await startServer({ demo: true });
  const desk = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const phone = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await open(desk, '#/job');
    await desk.page.getByRole('link', { name: 'Print tags' }).click();
    await choose(desk, '2123', 'Crank and bearings').check();
    await choose(desk, '2123', 'the engine itself').check();
    await choose(desk, 'Of no one engine', 'Parts and lots').check();
    await desk.page.getByTestId('tag-count').filter({ hasText: /^\d+ tags to print/ }).waitFor();
    await picture(desk.page, 'tags-1280-chosen');
    await desk.page.emulateMedia({ media: 'print' });
    await desk.page.setViewportSize({ width: 718, height: 1047 }); // what is left of A4 within its margins
    await picture(desk.page, 'tags-print');
    await desk.page.setViewportSize(deskSize);
    const codes = await codesPrinted(desk);
    truthy(codes.length > 40 && codes.every((c) => c.startsWith(`${server.origin}/#/t?`)), `every code is read: ${codes.filter((c) => !c.startsWith(server.origin))}`);
    truthy(codes.every((c) => !/left|right/.test(c)), 'no code names a side');
    const words = await desk.page.locator('.tags').innerText();
    truthy(!/left|right|position/.test(words) && words.includes('2123-K') && words.includes('GK-7-V'), 'words and check characters stand on the tags');
    for (const [paper, width, height] of [['a4', 595, 842], ['letter', 612, 792]]) {
      await desk.page.emulateMedia({ media: 'screen' });
      await desk.page.getByLabel('Paper').selectOption(paper);
      await desk.page.emulateMedia({ media: 'print' });
      const pdf = (await desk.page.pdf({ preferCSSPageSize: true })).toString('latin1');
      const sizes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((m) => [Math.round(Number(m[1])), Math.round(Number(m[2]))]);
      truthy(sizes.length >= 4 && sizes.every(([w, h]) => Math.abs(w - width) <= 1 && Math.abs(h - height) <= 1), `${paper}: pages of ${JSON.stringify(sizes)}`);
    }

    equal(await installed(phone), 'activated', 'the app is kept on the phone');
    await phone.offline(true);
    const address = codes.find((c) => c.includes('a=2123') && c.includes('p=pin.4.journal'));
    await coldStart(phone, address);
    await phone.page.locator('.pad').waitFor();
    const strip = (await phone.page.locator('.strip').innerText()).replace(/\s+/g, ' ');
    truthy(strip.includes('2123 twenty-three right · position B'), `the strip says ${strip}`);
    truthy((await phone.page.locator('h1').innerText()).startsWith('big-end pin 4'), 'the place is the tag\'s');
    await coldStart(phone, codes.find((c) => /[?&]t=GK-9-2&/.test(c)));
    await phone.page.getByTestId('tag-says').filter({ hasText: 'fitted · in 2117 seventeen' }).waitFor();
    await accessible(phone.page, 'a part by its tag');
    await picture(phone.page, 'tag-part-390-day');
    for (const p of [desk, phone]) equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await Promise.all([desk.forget(), phone.forget()]);
    await server.stop();
  }
}

/** A camera app opens an address: a page of its own, with nothing of the app running before. */
async function coldStart(phone, address) {
  await phone.page.goto('about:blank');
  await phone.page.goto(address);
}

/** A tag that meets a phone not yet paired waits and opens after pairing; one of another job says what to do. */
async function notYetPaired() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const phone = await openPhone(server.origin);
  try {
    const job = await lead.page.evaluate(() => new Promise((resolve) => {
      const asked = indexedDB.open('witnessmark');
      asked.onsuccess = () => { asked.result.transaction('meta').objectStore('meta').get('job').onsuccess = (e) => resolve(e.target.result); };
    }));
    const address = `${server.origin}/#/t?a=2123&p=main.3.journal&j=${job.slice(0, 8)}`;
    await phone.page.goto(address);
    await phone.page.getByTestId('tag-waits').waitFor();
    await accessible(phone.page, 'pairing with a tag in hand');
    await picture(phone.page, 'tag-unpaired-390-day');
    // The lead's own link is opened in between: the tag waits all the same.
    await phone.page.goto('about:blank');
    await phone.page.goto(`${server.origin}/#pair=${server.pair('fitter').code}`);
    await phone.page.getByLabel('What this phone is called').fill('P5');
    await phone.page.getByRole('button', { name: 'Pair this phone' }).click();
    await phone.page.getByRole('button', { name: 'Idris Cole' }).click();
    await phone.page.locator('.pad').waitFor();
    truthy((await phone.page.locator('.strip').innerText()).includes('right · position B'), 'it came back to the tag');
    await open(phone, '#/t?a=2123&j=ffffffff');
    await phone.page.getByRole('heading', { name: 'A tag of another job' }).waitFor();
    truthy(await phone.page.getByLabel(/code/i).isVisible(), 'it offers to pair');
    await accessible(phone.page, 'a tag of another job');
    await open(phone, `#/t?t=ZZ-1&j=${job.slice(0, 8)}`);
    await phone.page.getByRole('button', { name: 'Hand in and fetch' }).waitFor();
    await accessible(phone.page, 'a tag of nothing here');
  } finally {
    await Promise.all([lead.forget(), phone.forget()]);
    await server.stop();
  }
}

/** Both screens, both sizes, both lights: nothing for axe, nothing too small to touch, nothing wider than the phone. */
async function bothScreens() {
  const server = await startServer({ demo: true });
  try {
    for (const [size, light] of [[phoneSize, 'day'], [phoneSize, 'pit'], [deskSize, 'day'], [deskSize, 'pit']]) {
      const phone = await paired(server, 'lead', 'P1', 'Maud Ferris', { size, dark: light === 'pit' });
      await open(phone, '#/find?q=gasket');
      await found(phone).filter({ hasText: 'shown' }).waitFor();
      await sound(phone, `find-${size.width}-${light}`);
      await open(phone, '#/tags');
      await choose(phone, '2117', 'the engine itself').check();
      await choose(phone, '2117', 'Bores and pistons').check();
      await phone.page.locator('.paper-tag').first().waitFor();
      await sound(phone, `tags-${size.width}-${light}`);
      await phone.forget();
    }
  } finally {
    await server.stop();
  }
}

async function sound(phone, name) {
  await accessible(phone.page, name);
  await picture(phone.page, name);
  const bad = await phone.page.evaluate(() => [
    ...[...document.querySelectorAll('button, select, input:not([type=checkbox]), label.choice, .button, .line, nav a, .strip a:not(.skip)')]
      .filter((e) => e.checkVisibility())
      .map((e) => [e.getBoundingClientRect(), e.outerHTML.slice(0, 90)])
      .filter(([r]) => r.height < 47.5 || r.width < 43.5)
      .map(([r, html]) => `${Math.round(r.width)}×${Math.round(r.height)} ${html}`),
    ...(document.documentElement.scrollWidth > innerWidth ? [`the page is ${document.documentElement.scrollWidth} wide`] : []),
  ]);
  equal(bad, [], `targets and width of ${name}`);
}

export const cases = [
  ['search with no signal', offlineSearch],
  ['tags are printed, read and opened', printedAndScanned],
  ['a tag before pairing, and of another job', notYetPaired],
  ['both screens in both lights', bothScreens],
];
