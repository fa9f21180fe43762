// The view link as a wall: this week, what comes next and who is needed, both maps, photos with captions; it turns by itself,
// slowly, with nothing to touch, and can be held.
import { accessible, deskSize, equal, phoneSize, picture, startServer, truthy } from '../lib.mjs';
import { open, paired } from '../steps.mjs';

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
      seen.push(await shown());
      await page.evaluate(() => Promise.allSettled(document.getAnimations().map((a) => a.finished))); // it has come, or was drawn anew
      await accessible(page, `the wall, ${seen.at(-1)}`);
      await picture(page, `wall-${n}-${seen.at(-1)}`);
    }
    for (const part of ['week', 'next', 'engines', 'photos']) truthy(seen.includes(part), `the wall shows ${part}: ${seen}`);
    truthy((await page.locator('figure:visible figcaption').allInnerTexts()).every((t) => t.trim() !== ''), 'each photo has its words');
    await page.keyboard.press('Space');
    await says.filter({ hasText: 'held' }).waitFor();
    const before = await says.innerText();
    await page.clock.runFor(60_000);
    equal(await says.innerText(), before, 'held, it stays');
    const motion = () => page.locator('main > .now').first().evaluate((el) => getComputedStyle(el).animationName);
    equal(await motion(), 'come', 'it comes softly');
    await page.emulateMedia({ reducedMotion: 'reduce' });
    equal(await motion(), 'none', 'and with no motion where none is wanted');
    equal(complaints, [], 'the page kept to its policy');
  } finally {
    await lead.forget();
    await server.stop();
  }
}

export const cases = [['the view link as a wall', theWall]];
