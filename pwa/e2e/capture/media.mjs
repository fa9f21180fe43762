// Photos, marks and voice notes in a real browser: taken without signal, there after a reload, seen and heard elsewhere.
import { createHash, randomBytes } from 'node:crypto';
import { accessible, deskSize, equal, microphone, openPhone, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { installed, looks, open, paired, ready, stored, waiting } from '../steps.mjs';

const photoFile = new URL('../../../testdata/demo/gk-7.jpg', import.meta.url).pathname;
const here = '#/point?asm=2123&at=pin.2.journal&point=b.V&cond=found';

const said = (p, words) => p.page.locator('.frame > .said', { hasText: words }).waitFor({ state: 'attached' });

/** Runs a case with a fresh server and phones that are forgotten afterwards. */
function workshop(run) {
  return async () => {
    const server = await startServer({ demo: true });
    const phones = [];
    try {
      await run(server, async (name, person, { before, open: opened, ...options } = {}) => {
        const p = await paired(server, 'fitter', name, person, { flags: microphone, init: before, before: opened, ...options });
        phones.push(p);
        return p;
      }, phones);
      for (const p of phones) equal(p.complaints, [], 'the page kept to its policy');
    } finally {
      await Promise.all(phones.map((p) => p.forget()));
      await server.stop();
    }
  };
}

/** Resolves when a field shows what was half filled in: it is read from the phone's store after the page is there. */
const shows = (p, words) => p.page.waitForFunction((text) => [...document.querySelectorAll('input, textarea')].some((e) => e.value === text), words);

/** Resolves when what is half filled in is on the phone's disk. */
async function written(p, words) {
  while (!JSON.stringify(await stored(p, 'drafts')).includes(words));
}

/** Resolves when the drafts hold that many pieces of a note. */
async function pieces(p, n) {
  for (;;) {
    const head = (await stored(p, 'drafts')).find(([key]) => key === 'voice');
    if (head !== undefined && head[1].pieces >= n) return head[1];
    await p.page.locator('.voice-bar', { hasText: 'Recording' }).waitFor();
  }
}

async function begin(p) {
  await p.page.getByRole('button', { name: 'Record a voice note' }).click();
  await p.page.locator('.voice-bar', { hasText: 'Recording, 2123, big-end pin 2' }).waitFor();
}

async function stopAndKeep(p) {
  await p.page.locator('.voice-bar .figure', { hasText: '0:02' }).waitFor();
  await p.page.getByRole('button', { name: 'Stop and keep' }).click();
  await said(p, 'Voice note saved on this phone');
}

/** Presses Play and waits until sound has run. */
async function hear(p) {
  const play = p.page.getByRole('button', { name: /^Play the voice note, \d+ s, Idris Cole/ });
  await play.first().click();
  await p.page.waitForFunction(() => [...document.querySelectorAll('audio')].some((a) => a.currentTime > 0.3));
}

/** Recorded without signal, played after a reload, handed in, heard on another phone. */
const voiceOffline = workshop(async (server, phone) => {
  const a = await phone('P2', 'Idris Cole');
  const b = await phone('P4', 'Pell Oakes');
  await installed(a);
  await a.offline(true);
  await open(a, here);
  await begin(a);
  await open(a, '#/today'); // recording goes on wherever one walks
  await accessible(a.page, 'while recording');
  await picture(a.page, 'voice-recording');
  await stopAndKeep(a);
  equal((await stored(a, 'drafts')).filter(([key]) => String(key).startsWith('voice')), [], 'its drafts went with the entry');
  await a.page.reload();
  await open(a, here);
  await hear(a);
  await accessible(a.page, 'a place with a voice note');
  await a.page.getByRole('button', { name: /^(Play|Pause) the voice note/ }).scrollIntoViewIfNeeded();
  await picture(a.page, 'voice-390-day');
  await a.offline(false);
  await ready(a);
  await open(b, here);
  await hear(b);
});

/** A phone that knows mp4 only, and one that records nothing (T36). */
const otherPhones = workshop(async (server, phone) => {
  const mp4 = () => { MediaRecorder.isTypeSupported = (t) => t === 'audio/mp4'; };
  const a = await phone('P2', 'Idris Cole', { before: mp4 });
  await open(a, here);
  await begin(a);
  await stopAndKeep(a);
  await ready(a);
  equal((await stored(a, 'photos')).map(([, v]) => [v.type, v.waits ?? 'sent']), [['audio/mp4', 'sent']], 'what lies on the phone');
  const b = await phone('P4', 'Pell Oakes', { before: () => { delete globalThis.MediaRecorder; } });
  await open(b, here);
  await b.page.getByLabel('Note', { exact: true }).waitFor();
  equal(await b.page.getByRole('button', { name: 'Record a voice note' }).count(), 0, 'no button where nothing can be recorded');
  await hear(b);
});

/** The page is reloaded, then the browser killed, while somebody speaks: the note so far is offered (T3). */
const brokenOff = workshop(async (server, phone, phones) => {
  let a = await phone('P2', 'Idris Cole', { lasting: true });
  const { profile } = a;
  await installed(a);
  await a.offline(true);
  await open(a, here);
  await begin(a);
  await pieces(a, 1);
  await a.page.reload();
  await a.page.getByText('A voice note is not finished').waitFor();
  await accessible(a.page, 'a note that was broken off');
  await picture(a.page, 'voice-broken-off');
  await a.page.getByRole('button', { name: 'Drop it' }).click();
  await said(a, 'The voice note was dropped');
  equal((await stored(a, 'drafts')).filter(([key]) => String(key).startsWith('voice')), [], 'nothing of it is left');
  await open(a, here);
  await begin(a);
  const half = await pieces(a, 2);
  await a.kill();
  phones.pop();
  a = await openPhone(server.origin, { profile, flags: microphone });
  phones.push(a);
  await a.offline(true);
  await a.page.goto(`${server.origin}/${here}`);
  await a.page.getByText('A voice note is not finished').waitFor();
  await a.page.getByRole('button', { name: 'Keep it' }).click();
  await said(a, 'Voice note saved on this phone');
  await a.page.reload();
  await hear(a);
  const [, kept] = (await stored(a, 'photos'))[0];
  truthy(kept.bytes > 1000 && half.pieces >= 2, `only ${kept.bytes} bytes of ${half.pieces} pieces were kept`);
  // What a dying phone left must be good enough for the office.
  await a.offline(false);
  await open(a, '#/phone');
  const again = a.page.getByRole('button', { name: 'Pair again' });
  await again.or(a.page.getByText('all handed in')).first().waitFor();
  if (await again.isVisible()) {
    await a.page.getByLabel(/pair it again/).fill(server.pair('fitter').code);
    await again.click();
  }
  await ready(a);
});

/** Draws with two taps on the photo, at fractions of its width and height. */
async function tapMark(p, shape, from, to) {
  await p.page.getByRole('button', { name: `Draw ${shape}` }).click();
  for (const [x, y] of [from, to]) {
    const aim = p.page.locator('.aim');
    await aim.waitFor();
    const box = await aim.boundingBox();
    await p.page.locator('.aim').click({ position: { x: box.width * x, y: box.height * y } });
  }
}

const marksOf = (p) => p.page.locator('.mark-line').allInnerTexts();
const drawn = (p, n) => p.page.waitForFunction((k) => document.querySelectorAll('.overlay .pm-tag').length === k, n);

/** An arrow by touch and a ring by keyboard on a photo taken without signal; another phone sees both and takes one off. */
const marks = workshop(async (server, phone) => {
  const a = await phone('P2', 'Idris Cole');
  await installed(a);
  await a.offline(true);
  await open(a, here);
  await a.page.getByLabel('Take a photo').setInputFiles(photoFile);
  await said(a, 'Photo saved on this phone');
  await a.page.getByRole('link', { name: /^Open the photo/ }).click();
  await tapMark(a, 'an arrow', [0.2, 0.8], [0.5, 0.5]);
  await a.page.getByLabel(/What it shows/).fill('the score ends here');
  await written(a, 'the score ends here');
  await a.page.reload(); // half a mark survives
  await shows(a, 'the score ends here');
  await picture(a.page, 'photo-marking');
  await a.page.getByRole('button', { name: 'Keep the arrow' }).click();
  await said(a, 'Mark saved on this phone');
  await drawn(a, 1);
  await a.page.getByRole('button', { name: 'Draw a ring' }).press('Enter');
  const aim = a.page.getByRole('application', { name: /set the centre/ });
  await aim.and(a.page.locator(':focus')).waitFor();
  for (const key of ['ArrowRight', 'ArrowRight', 'ArrowUp', 'Enter', 'ArrowRight', 'ArrowRight', 'ArrowRight', 'ArrowRight', 'ArrowRight', 'Enter']) await a.page.keyboard.press(key);
  await a.page.getByRole('button', { name: 'Keep the ring' }).press('Enter');
  await drawn(a, 2);
  await a.offline(false);
  await ready(a);
  const bodies = (await stored(a, 'entries')).map(([, e]) => JSON.parse(e.raw)).filter((e) => e.kind === 'mark').map((e) => e.body);
  const ring = bodies.find((m) => m.shape === 'ring');
  equal([ring.x, ring.y, ring.to_x, ring.to_y], [540, 480, 640, 480], 'the ring in thousandths');
  const arrow = bodies.find((m) => m.shape === 'arrow');
  truthy(Math.abs(arrow.x - 200) < 6 && Math.abs(arrow.to_y - 500) < 6, `the arrow is where the taps were: ${JSON.stringify(arrow)}`);
  const b = await phone('P4', 'Pell Oakes', { size: deskSize });
  await open(b, here);
  await b.page.getByText('2 marks').waitFor();
  await b.page.getByRole('link', { name: /^Open the photo/ }).click();
  await drawn(b, 2);
  equal((await marksOf(b)).map((t) => t.split('\n')[0].slice(0, 30)).length, 2, 'both are listed');
  await b.page.getByRole('button', { name: 'Take it off: mark 1' }).click();
  await drawn(b, 1);
  await ready(b);
  await open(b, '#/today');
  await drawn(a, 1);
});

/** The photo's screen and its place in both sizes and both lights. */
const everyLook = workshop(async (server, phone) => {
  const first = await phone('P2', 'Idris Cole');
  await open(first, here);
  await begin(first);
  await stopAndKeep(first);
  await first.page.getByLabel('Take a photo').setInputFiles(photoFile);
  await said(first, 'Photo saved on this phone');
  await first.page.getByRole('link', { name: /^Open the photo/ }).click();
  await tapMark(first, 'an arrow', [0.2, 0.8], [0.5, 0.5]);
  await first.page.getByRole('button', { name: 'Keep the arrow' }).click();
  await drawn(first, 1);
  await tapMark(first, 'a ring', [0.7, 0.4], [0.8, 0.4]);
  await first.page.getByLabel(/What it shows/).fill('porous');
  await first.page.getByRole('button', { name: 'Keep the ring' }).click();
  await drawn(first, 2);
  await ready(first);
  const hash = await first.page.evaluate(() => location.hash);
  for (const [size, light, dark] of [[phoneSize, 'day', false], [phoneSize, 'pit', true], [deskSize, 'day', false], [deskSize, 'pit', true]]) {
    const p = await phone(`P${size.width}${light}`, 'Pell Oakes', { size, dark });
    const look = `${size.width}-${light}`;
    await open(p, hash);
    await drawn(p, 2);
    await accessible(p.page, `photo (${look})`);
    await picture(p.page, `photo-${look}`);
    await small(p, `photo (${look})`);
    await p.page.getByRole('button', { name: 'Draw an arrow' }).click();
    await p.page.locator('.aim').waitFor();
    await accessible(p.page, `marking (${look})`);
    await p.page.getByRole('button', { name: 'Leave it' }).click();
    await open(p, here);
    await p.page.locator('figure img').waitFor();
    await p.page.getByRole('button', { name: /^Play/ }).scrollIntoViewIfNeeded();
    await accessible(p.page, `place with photo and voice (${look})`);
    await picture(p.page, `place-media-${look}`);
    await small(p, `place (${look})`);
  }
});

/** Whatever can be touched is at least 48 by 48 (T61). */
async function small(p, where) {
  const found = await p.page.evaluate(() => [...document.querySelectorAll('main button, main a.button, main .photo-open, .aim')]
    .filter((e) => e.checkVisibility()).map((e) => [e.getBoundingClientRect(), e.outerHTML.slice(0, 90)])
    .filter(([r]) => r.height < 47.5 || r.width < 47.5).map(([r, html]) => `${Math.round(r.width)}×${Math.round(r.height)} ${html}`));
  equal(found, [], `targets on ${where}`);
}

/** A phone that is nearly full: nothing is dropped unasked, then only what the office has (T8). */
const nearlyFull = workshop(async (server, phone) => {
  const a = await phone('P2', 'Idris Cole', { before: () => { if (navigator.storage) navigator.storage.estimate = async () => ({ quota: 100e6, usage: 90e6 }); } });
  await installed(a);
  await open(a, here);
  await a.page.getByLabel('Take a photo').setInputFiles(photoFile);
  await a.page.getByText('Nothing here can be fetched again from the office').waitFor();
  await a.page.getByRole('button', { name: 'Keep the photo all the same' }).click();
  await said(a, 'Photo saved on this phone');
  await ready(a);
  await a.offline(true);
  const second = { name: 'second.jpg', mimeType: 'image/jpeg', buffer: Buffer.from([0xff, 0xd8, 0xff, 0xd9]) };
  await a.page.getByLabel('Take a photo').setInputFiles(second);
  await a.page.getByText(/1 photo that the office has takes/).waitFor();
  await accessible(a.page, 'nearly full');
  await picture(a.page, 'room-390-day');
  equal((await stored(a, 'photos')).length, 1, 'nothing happens until it is answered');
  await a.page.getByRole('button', { name: 'Drop those copies, keep the photo' }).click();
  await a.page.getByText('2 only on this phone').waitFor(); // the entry and its bytes
  equal((await stored(a, 'photos')).map(([, v]) => [v.bytes, v.waits]), [[4, 1]], 'what only this phone has stays, the copy is gone');
  await a.page.reload();
  await open(a, here);
  await a.page.getByText('not on this phone').first().waitFor();
  await a.offline(false);
  await a.page.waitForFunction(() => [...document.querySelectorAll('figure img')].some((i) => !i.hidden && i.naturalWidth > 0));
});

/** Taps the shutter's button; what comes back is what the phone's camera hands the picture to. */
async function camera(p) {
  const opened = p.page.waitForEvent('filechooser');
  await p.page.getByLabel('Take a photo').click();
  const chooser = await opened;
  for (;;) if ((await stored(p, 'drafts')).some(([key]) => key === 'shot')) return chooser;
}

/** What the photos that wait on the phone are of, in the order they were taken. */
const photos = async (p) => (await stored(p, 'entries')).filter(([, e]) => e.waits === 1).map(([, e]) => JSON.parse(e.raw)).sort((x, y) => x.seq - y.seq).filter((e) => e.kind === 'photo').map((e) => e.body.of);
const lost = (p) => p.page.getByRole('region', { name: 'A photo that was not kept' });

/** The page goes while the camera is open: by a reload, by the browser's death, in the middle of a snag. It is said which photo was not kept and where to take it again; what was half filled in is there; the next photo stands at that place (T3). */
const cameraTook = workshop(async (server, phone, phones) => {
  let a = await phone('P2', 'Idris Cole', { lasting: true });
  const { profile } = a;
  await installed(a);
  await a.offline(true);
  await open(a, here);
  const before = (await photos(a)).length;
  await a.page.getByRole('group', { name: 'Number pad' }).focus();
  await a.page.keyboard.type('61.9');
  await a.page.getByLabel('Note', { exact: true }).fill('score at the oil hole');
  await camera(a);
  await a.page.reload();
  await lost(a).getByText('2123, big-end pin 2 · journal').waitFor();
  await lost(a).getByText('Take it again below.').waitFor();
  await a.page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.9'));
  await shows(a, 'score at the oil hole');
  equal((await photos(a)).length, before, 'no photo is there yet');
  await looks(a.page, 'photo-lost');
  await a.page.setViewportSize(phoneSize);

  await camera(a);
  await a.kill();
  phones.pop();
  a = await openPhone(server.origin, { profile, flags: microphone });
  phones.push(a);
  await a.offline(true);
  await a.page.goto(`${server.origin}/`); // as from the icon: at no place
  await lost(a).getByText('Take it again there.').waitFor();
  await lost(a).getByRole('link', { name: 'To its place' }).click();
  await lost(a).getByText('Take it again below.').waitFor();
  await (await camera(a)).setFiles(photoFile);
  await said(a, 'Photo saved on this phone');
  equal(await lost(a).count(), 0, 'it is no longer said');
  const [of] = (await photos(a)).slice(before);
  equal([of.asm, of.at], ['2123', 'pin.2.journal'], 'the place that it was taken for');

  await open(a, '#/snags?asm=2117');
  await a.page.getByLabel('What is wrong, and where exactly').fill('weeps at the sump');
  await camera(a);
  await a.page.reload();
  await lost(a).getByText('a snag of 2117').waitFor();
  await shows(a, 'weeps at the sump');
  await lost(a).getByRole('button', { name: 'Leave it' }).click();
  await camera(a);
  await a.page.getByLabel('Take a photo').dispatchEvent('cancel'); // as the camera that is closed without a picture sends it
  while ((await stored(a, 'drafts')).some(([key]) => key === 'shot'));
  await a.page.reload();
  await a.page.getByLabel('What is wrong, and where exactly').waitFor();
  equal(await lost(a).count(), 0, 'what was left is not called lost');
});

/** The browser's own room ends in the middle of a photo: although it had said that there is some: it is told, nothing of it counts, it stays in hand, a reading still goes in, and with room made the same photo is kept bit for bit (T8). */
const fullInPhoto = workshop(async (server, phone) => {
  let quota = async () => undefined;
  const limit = async ({ page, context, origin }) => {
    const devtools = await context.newCDPSession(page);
    quota = (size) => devtools.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: size });
    await quota(24 << 20);
  };
  const a = await phone('P2', 'Idris Cole', { lasting: true, open: limit });
  await installed(a);
  await a.offline(true);
  await open(a, here);
  const [entries, bytes] = [(await stored(a, 'entries')).length, await waiting(a)];
  const large = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), randomBytes(22 << 20)]);
  await (await camera(a)).setFiles({ name: 'large.jpg', mimeType: 'image/jpeg', buffer: large });
  await a.page.getByText('this phone is full, so nothing was saved').waitFor();
  await a.page.getByText('The photo is not kept yet').waitFor();
  equal([(await stored(a, 'entries')).length, (await stored(a, 'photos')).length, await waiting(a)], [entries, 0, bytes], 'nothing of it counts');
  await looks(a.page, 'photo-full');
  await a.page.setViewportSize(phoneSize);
  await a.page.getByRole('button', { name: 'Keep the photo again' }).click(); // nothing has changed: nothing is kept

  await a.page.getByRole('group', { name: 'Number pad' }).focus();
  await a.page.keyboard.type('61.951');
  await a.page.getByRole('button', { name: /^Keep 61\.951/ }).click();
  await a.page.locator('.kept', { hasText: '61.951' }).waitFor(); // a reading is small: it still goes in
  equal((await stored(a, 'photos')).length, 0, 'the photo is still not there');
  await open(a, here);
  await quota(200 << 20); // room has been made
  await a.page.getByRole('button', { name: 'Keep the photo again' }).click();
  await said(a, 'Photo saved on this phone');
  const [[sha, kept]] = await stored(a, 'photos');
  equal([sha, kept.bytes, kept.waits], [createHash('sha256').update(large).digest('hex'), large.length, 1], 'the photo, bit for bit');
  const [of] = (await photos(a)).slice(-1);
  equal([of.asm, of.at], ['2123', 'pin.2.journal'], 'the place that it was taken for');
});

export const cases = [
  ['a page that went while the camera was open', cameraTook],
  ['a phone that is full in the middle of a photo', fullInPhoto],
  ['a voice note without signal', voiceOffline],
  ['phones that record otherwise, or not at all', otherPhones],
  ['a voice note that was broken off', brokenOff],
  ['marks on a photo', marks],
  ['photo and place, both sizes, both lights', everyLook],
  ['a phone that is nearly full', nearlyFull],
];
