// The view link as a wall: this week, what comes next and who is needed, both maps, photos with captions; it turns by itself,
// slowly, with nothing to touch, and can be held.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired } from '../steps.mjs';

/** Nothing of what stands on the screen reaches over its edge or under the line that counts the turns; the answer is its words. */
async function uncut(page, where) {
  const { over, words } = await page.evaluate(() => {
    const seen = [...document.querySelectorAll('main *')].filter((e) => e.checkVisibility());
    const own = (e) => [...e.childNodes].filter((n) => n.nodeType === Node.TEXT_NODE).map((n) => n.data.trim()).filter(Boolean);
    const rests = document.getElementById('wall-says').getBoundingClientRect();
    const out = seen.filter((e) => own(e).length > 0 || e.tagName === 'IMG').filter((e) => {
      const b = e.getBoundingClientRect();
      return b.bottom > rests.top + 1 || b.right > innerWidth + 1 || b.left < 0 || e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline';
    });
    return { over: out.map((e) => e.textContent.slice(0, 80)), words: seen.flatMap(own) };
  });
  equal(over, [], `nothing is cut in turn ${where}`);
  return words;
}

/** A page of a busy week, of lines of every length: whatever the screen, every line of it stands whole in some turn. */
async function longPage(page, link) {
  const long = (n) => `line ${n}: ${'measured again, and again '.repeat(n % 7)}`.trim();
  const want = [...Array(90).keys()].map(long);
  const tall = `one line that is too long for any screen ${'and goes on '.repeat(260)}`.trim();
  await page.route('**/data', async (route) => {
    const reply = await route.fetch();
    if (!reply.ok()) return route.fulfill({ response: reply });
    const data = await reply.json();
    data.view.week = [...want.map((words, i) => ({ asm: ['2117', '2123', ''][Math.floor(i / 30)], words })), { asm: '', words: tall }];
    data.view.next = [{ asm: '2117', title: 'Stage', todo: want.slice(0, 40), more: 0, needed: ['somebody'] }];
    data.view.engines[0].lines = [...Array(25).keys()].map((n) => ({ verdict: 'outside', word: 'outside', words: `place ${n}`, says: long(n), glyph: {} }));
    data.view.photos = data.view.photos.flatMap((p) => [p, { ...p, caption: `${p.caption} ${'with many words '.repeat(20)}` }, p]);
    return route.fulfill({ response: reply, json: data });
  });
  for (const size of [deskSize, { width: 1920, height: 1080 }]) {
    await page.setViewportSize(size);
    await page.goto('about:blank');
    await page.goto(link.replace('#', '?wall#'));
    const says = page.locator('#wall-says');
    await says.filter({ hasText: /^1 of \d+$/ }).waitFor();
    await page.evaluate(() => document.fonts.ready);
    const all = Number((await says.innerText()).split(' ').at(-1));
    const seen = new Set();
    for (let n = 1; n <= all; n++) {
      await says.filter({ hasText: new RegExp(`^${n} of`) }).waitFor();
      for (const w of await uncut(page, `${n} of ${all}, ${size.width} wide`)) seen.add(w);
      if (n === 3) await picture(page, `wall-long-${size.width}`);
      await page.keyboard.press('ArrowRight');
    }
    equal([...want, tall].filter((w) => !seen.has(w)), [], `every line stood somewhere, ${size.width} wide`);
  }
}

/** A turn of one short line has the whole width, and letters so large that it is more than half the screen; nothing of it is cut. */
async function filled(page, link) {
  await page.route('**/data', async (route) => {
    const reply = await route.fetch();
    if (!reply.ok()) return route.fulfill({ response: reply });
    const data = await reply.json();
    data.view.week = [{ asm: '2117', words: 'The head is down, the studs are tight, and the first start is on Saturday' }];
    return route.fulfill({ response: reply, json: data });
  });
  await page.setViewportSize(deskSize);
  await page.goto('about:blank');
  await page.goto(link.replace('#', '?wall#'));
  const says = page.locator('#wall-says');
  await says.filter({ hasText: /^1 of \d+$/ }).waitFor();
  const line = page.locator('[data-slide=week].now .lines > li:visible');
  await line.first().waitFor();
  await page.evaluate(() => document.fonts.ready);
  await uncut(page, 'of one line');
  const [wide, letters, plain] = await page.evaluate(() => { // at one moment: it is drawn anew when something comes in
    const li = document.querySelector('[data-slide=week].now .lines > li');
    return [li.getBoundingClientRect().width / innerWidth, Number.parseFloat(getComputedStyle(li).fontSize), Number.parseFloat(getComputedStyle(document.body).fontSize)];
  });
  truthy(wide > 0.8 && letters > 1.1 * plain, `one line has the width and large letters: ${wide} of the width, ${letters} px beside ${plain}`);
  await picture(page, 'wall-one-line');
  await page.unrouteAll({ behavior: 'ignoreErrors' });
}

async function theWall() {
  const server = await startServer({ demo: true });
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  const page = await lead.context.newPage();
  const complaints = [];
  page.on('pageerror', (e) => complaints.push(e.message));
  page.on('console', (m) => m.type() === 'error' && /Content Security Policy|TrustedHTML/i.test(m.text()) && complaints.push(m.text()));
  try {
    await open(lead, '#/people');
    await lead.page.getByLabel('A link for volunteers, called').fill('tea-room');
    await lead.page.getByRole('button', { name: 'Make a link' }).click();
    const link = await lead.page.getByTestId('link').innerText();
    await page.clock.install();
    await page.goto(link);
    await page.getByRole('heading', { name: 'What comes next' }).waitFor();
    truthy(/Needed: /.test(await page.locator('[data-slide=next]').innerText()), 'who is needed is said');
    for (const dark of [false, true]) {
      await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
      for (const size of [phoneSize, deskSize]) {
        await page.setViewportSize(size);
        await accessible(page, `the view link, ${size.width} ${dark ? 'pit' : 'day'}`);
        await picture(page, `view-${size.width}-${dark ? 'pit' : 'day'}`);
      }
    }
    await page.getByRole('link', { name: 'As a wall for the tea-room' }).click();
    const says = page.locator('#wall-says');
    await says.filter({ hasText: /^1 of \d+$/ }).waitFor();
    const shown = () => page.locator('main > .now').first().getAttribute('data-slide');
    const seen = [await shown()];
    equal(await page.locator('main > :visible').count(), 1, 'one part stands at a time');
    const all = Number((await says.innerText()).split(' ').at(-1));
    for (let n = 2; n <= all; n++) {
      await page.clock.runFor(20_000); // by itself: nothing is touched
      await says.filter({ hasText: new RegExp(`^${n} of`) }).waitFor();
      await page.keyboard.press('Space'); // held while it is looked at, for on a slow machine that takes longer than a turn
      await says.filter({ hasText: 'held' }).waitFor();
      seen.push(await shown());
      await uncut(page, `${n} of ${all}`);
      await page.evaluate(() => Promise.allSettled(document.getAnimations().map((a) => a.finished))); // it has come, or was drawn anew
      await accessible(page, `the wall, ${seen.at(-1)}`);
      await picture(page, `wall-${n}-${seen.at(-1)}`);
      await page.keyboard.press('Space');
      await says.filter({ hasText: new RegExp(`^${n} of \\d+$`) }).waitFor();
    }
    for (const part of ['week', 'next', 'engines', 'photos']) truthy(seen.includes(part), `the wall shows ${part}: ${seen}`);
    truthy((await page.locator('figure:visible figcaption').allInnerTexts()).every((t) => t.trim() !== ''), 'each photo has its words');
    await page.keyboard.press('Space');
    await says.filter({ hasText: 'held' }).waitFor();
    const before = await says.innerText();
    await page.clock.runFor(60_000);
    equal(await says.innerText(), before, 'held, it stays');
    const motion = () => page.locator('main > .now').first().evaluate((el) => getComputedStyle(el).animationName);
    await page.keyboard.press('ArrowRight');
    equal(await motion(), 'come', 'it comes softly');
    await page.emulateMedia({ reducedMotion: 'reduce' });
    equal(await motion(), 'none', 'and with no motion where none is wanted');
    await filled(page, link);
    await longPage(page, link);
    equal(complaints, [], 'the page kept to its policy');
  } finally {
    await lead.forget();
    await server.stop();
  }
}

export const cases = [['the view link as a wall', theWall]];
