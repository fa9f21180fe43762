// How the screens fit a phone in the hand: twice the text, the longest names, either thumb.
import { accessible, equal, picture, startServer, truthy } from '../lib.mjs';
import { paired } from '../steps.mjs';

/** Runs one case on a phone of its own with the demo job. */
const onPhone = (run) => async () => {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  try {
    await run(phone);
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
};

/** Every screen: its name, its address, and what stands on this screen and on none that was open before it. */
const screens = [
  ['engine', '#/engine?asm=2123', '.drawing .map, .places'], ['point', '#/point?asm=2123&at=pin.4.journal&point=b.V&cond=found', '.pad'],
  ['sheet', '#/sheet?asm=2117', 'h1:text-is("Sheet")'], ['today', '#/today', 'h1:text-is("Today")'], ['results', '#/results', 'h1:text-is("Results")'],
  ['result', '#/result?id=clearance%2F2117%2Fmain.7%2Ffound', '.vals'], ['gasket', '#/gasket', 'h1:text-is("Which gasket")'],
  ['tighten', '#/tighten?asm=2123&joint=head&cond=trial%3AGK-7', 'h1:has-text("Tighten")'], ['hold', '#/hold?asm=2117', 'h1:text-is("Hold test")'],
  ['job', '#/job', 'h1:has-text("Heron")'], ['phone', '#/phone', 'h1:text-is("This phone")'], ['workouts', '#/workout', 'h1:text-is("Work something out")'],
  ['workout', '#/workout?name=ringgap', '.outcome'], ['stages', '#/stages', 'h1:text-is("Stages and hold points")'], ['find', '#/find?q=pin', '.found'],
  ['tags', '#/tags', 'h1:text-is("Print tags")'], ['runs', '#/run?asm=2117', '[data-testid=begin-run]'], ['clutch', '#/clutch', '[data-testid=untried]'],
];

/** Screens of a single thing, reached by the first link to one. */
const linked = [['contest', 'h1'], ['entry', 'h1'], ['photo', '.photo-screen'], ['run', 'h2:has-text("Report")']];

async function open(page, hash, there) {
  await page.evaluate((h) => (location.hash = h), hash);
  await page.locator(there).filter({ visible: true }).first().waitFor();
}

/** Goes through every screen that there is; those of a single thing by the links that were seen on the way. */
async function eachScreen(page, look) {
  const ways = {};
  for (const [name, hash, there] of screens) {
    await open(page, hash, there);
    for (const [single] of linked) ways[single] ??= await page.evaluate((s) => document.querySelector(`main a[href^="#/${s}?"][href*="id="]`)?.getAttribute('href') ?? undefined, single);
    await look(name);
  }
  for (const [name, there] of linked) {
    truthy(ways[name], `some screen leads to a ${name}`);
    await page.evaluate(() => document.querySelector('main h1')?.setAttribute('data-before', ''));
    await open(page, ways[name], there === 'h1' ? 'h1:not([data-before])' : there);
    await look(name);
  }
}

/** Twice the text, set as a script may set it: the policy lets no style element in. */
const textSize = (page, percent) => page.evaluate((p) => {
  const root = document.documentElement;
  root.style.removeProperty('font-size');
  const once = Number.parseFloat(getComputedStyle(root).fontSize);
  root.style.setProperty('font-size', `${(once * p) / 100}px`);
}, percent);

/** The longest place of the job with its engine, made up to sixty letters. */
async function longestName(page) {
  await open(page, '#/engine?asm=2123', '.places .line-title');
  const places = await page.locator('.places .line-title').allInnerTexts();
  const longest = places.reduce((a, b) => (b.length > a.length ? b : a));
  const engine = await page.locator('.switch [aria-pressed=true]').innerText();
  return `${longest}, ${engine.replace(/\s+/g, ' ')}, `.repeat(3).slice(0, 60).trim();
}

/** Puts a name in place of every heading and name on the screen; a button keeps its own words before it. */
const renamed = (page, name) => page.evaluate((long) => {
  const named = document.querySelectorAll('h1, h2, h3, .line-title, .engine-name, .strip-title, .point-words, .kept span, .reading .word, main .keep, main .primary, td, dd');
  for (const element of named) {
    const words = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
    for (let t = words.nextNode(); t !== null; t = words.nextNode()) {
      if (t.parentElement.closest('option, svg, textarea, .figure')) continue;
      if (element.matches('button, a.button')) {
        t.data = `${t.data} ${long} `;
        break;
      }
      if (/\p{L}{3}/u.test(t.data)) t.data = long;
    }
  }
}, name);

/** All that does not fit, in words. A region that scrolls by itself may be wider than the screen; its frame may not. */
const misfits = (page) => page.evaluate(() => {
  const bad = [];
  const wide = document.scrollingElement.scrollWidth;
  const says = (e) => `${e.tagName.toLowerCase()} "${(e.innerText || e.getAttribute('aria-label') || e.className).replace(/\s+/g, ' ').slice(0, 50)}"`;
  if (wide > innerWidth) {
    const over = [...document.querySelectorAll('main *')].filter((e) => e.checkVisibility() && !e.closest('.scroll, svg') && e.getBoundingClientRect().right > innerWidth + 0.5).slice(-3);
    bad.push(`the page is ${wide} wide: ${over.map((e) => `${says(e)} .${e.className}`).join(', ')}`);
  }
  for (const e of document.querySelectorAll('button, a.button, input, select, textarea, a.line, a.reading, summary, .foot a, .strip a:not(.skip)')) {
    if (!e.checkVisibility() || e.getClientRects().length === 0) continue;
    const box = e.getBoundingClientRect();
    const scrolls = e.closest('.scroll') !== null;
    if (box.width > innerWidth || (!scrolls && (box.left < -0.5 || box.right > innerWidth + 0.5))) bad.push(`${says(e)} lies from ${Math.round(box.left)} to ${Math.round(box.right)}`);
    if (e.matches('button, a') && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)) bad.push(`${says(e)} is cut: ${e.scrollWidth} by ${e.scrollHeight} in ${e.clientWidth} by ${e.clientHeight}`);
  }
  for (const strip of document.querySelectorAll('.strip, .foot')) if (strip.scrollHeight > strip.clientHeight + 1 || strip.scrollWidth > strip.clientWidth + 1) bad.push(`the ${strip.className} spills: ${strip.scrollWidth} by ${strip.scrollHeight}`);
  return bad;
});

/** The main things to press that a thumb cannot get at when they are scrolled to. */
const outOfReach = (page) => page.evaluate(() => {
  const bad = [];
  for (const e of document.querySelectorAll('main .keep, main .primary, main .wide')) {
    if (!e.checkVisibility()) continue;
    e.scrollIntoView({ block: 'center' });
    const box = e.getBoundingClientRect();
    const hit = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    if (hit === null || !(e === hit || e.contains(hit))) bad.push(`"${e.innerText.slice(0, 40)}" is covered by ${hit?.className ?? 'nothing that is there'}`);
  }
  return bad;
});

/** The figure that is kept and the key that keeps it are seen at one time, free of the strips. */
const padWhole = (page) => page.evaluate(() => {
  const pad = document.querySelector('.pad');
  if (pad === null) return [];
  pad.querySelector('.keep').scrollIntoView({ block: 'nearest' });
  const top = document.querySelector('.strip').getBoundingClientRect().bottom;
  const bottom = document.querySelector('.foot').getBoundingClientRect().top;
  return ['.readback', '.keep'].map((s) => [s, pad.querySelector(s).getBoundingClientRect()])
    .filter(([, b]) => b.top < top - 0.5 || b.bottom > bottom + 0.5).map(([s, b]) => `the pad's ${s} lies from ${Math.round(b.top)} to ${Math.round(b.bottom)}, free are ${Math.round(top)} to ${Math.round(bottom)}`);
});

const everything = async (page) => [...(await misfits(page)), ...(await outOfReach(page)), ...(await padWhole(page))];

/** Looks at every screen and says all that is wrong at the end. */
async function fits(page, called, before) {
  const bad = [];
  await eachScreen(page, async (name) => {
    await before();
    const found = await everything(page);
    if (found.length > 0 || ['point', 'tighten', 'engine'].includes(name)) await picture(page, `fit-${called.replaceAll(' ', '-')}-${name}`);
    bad.push(...found.slice(0, 6).map((f) => `${name}: ${f}`));
  });
  truthy(bad.length === 0, `${called}:\n${bad.join('\n')}`);
}

async function twiceTheText({ page }) {
  await textSize(page, 200);
  await fits(page, 'twice the text', async () => {});
}

async function longNames({ page }) {
  const name = await longestName(page);
  equal(name.length > 55, true, `a long name: ${name}`);
  await fits(page, 'long names', () => renamed(page, name));
}

async function both({ page }) {
  const name = await longestName(page);
  await textSize(page, 200);
  await fits(page, 'long names in twice the text', () => renamed(page, name));
}

/** What is pressed most lies where a thumb is: in the lower two thirds, above the foot, and over the middle for either hand. */
async function inReach(page, selector, what) {
  await page.locator(selector).filter({ visible: true }).first().waitFor();
  const bad = await page.evaluate((s) => {
    const b = document.querySelector(s).getBoundingClientRect();
    const foot = document.querySelector('.foot').getBoundingClientRect().top;
    const middle = (b.top + b.bottom) / 2;
    const said = `from ${Math.round(b.left)} to ${Math.round(b.right)} and ${Math.round(b.top)} to ${Math.round(b.bottom)}`;
    return middle < innerHeight / 3 || b.bottom > foot + 0.5 || b.left > innerWidth * 0.35 || b.right < innerWidth * 0.65 || b.height < 48 ? said : '';
  }, selector);
  truthy(bad === '', `${what} lies ${bad}`);
}

/** The figure that the pad asks for, typed and kept. */
async function given(page, heading, figure) {
  await page.getByRole('heading', { name: heading }).waitFor();
  await page.getByRole('group', { name: 'Number pad' }).focus();
  await page.keyboard.type(figure);
  await page.waitForFunction((t) => document.querySelector('[data-testid=keep]').textContent.includes(t), figure);
  await inReach(page, '[data-testid=keep]', heading);
  await page.getByTestId('keep').click();
  await page.getByRole('heading', { name: heading }).waitFor({ state: 'detached' });
}

/** As one arrives, with nothing scrolled, the thumb finds it; on the hold test from the first figure to the end. */
async function thumbs({ page }) {
  for (const asm of ['2117', '2123']) {
    await open(page, `#/point?asm=${asm}&at=pin.4.journal&point=b.V&cond=found`, `.${asm === '2117' ? 'left' : 'right'} .pad`);
    await inReach(page, '.pad', `the pad of ${asm}`);
    await inReach(page, '[data-testid=keep]', `Keep of ${asm}`);
  }
  await open(page, '#/tighten?asm=2123&joint=head&cond=trial%3AGK-7', '.keep:has-text("done at")');
  await inReach(page, 'main .keep', 'the next stud');
  await open(page, '#/hold?asm=2117', 'h1:text-is("Hold test")');
  await page.getByLabel('What is held').selectOption('cooling water');
  await given(page, 'Pressure on the gauge', '0.700');
  await given(page, 'Temperature of what is held', '16');
  await inReach(page, '[data-testid=begin]', 'the start of the hold test');
  await page.getByTestId('begin').click();
  await inReach(page, '[data-testid=take-end]', 'the end of the hold test');
  for (const percent of [100, 200]) {
    await textSize(page, percent);
    const bad = await everything(page);
    truthy(bad.length === 0, `a running hold test at ${percent} %:\n${bad.join('\n')}`);
  }
}

const map = (page) => page.locator('.chosen .map');
const across = async (page) => Math.round((await map(page).boundingBox()).width);

/** The engine drawn larger by taps: the page stays, the frame scrolls by finger and by keys, a place still opens, a reload keeps it. */
async function larger({ page }) {
  await open(page, '#/engine?asm=2123', '.right .chosen .map');
  const [up, down] = ['Larger, map of 2123', 'Smaller, map of 2123'].map((name) => page.getByRole('button', { name }));
  const once = await across(page);
  truthy(await down.isDisabled(), 'the whole width is the smallest');
  for (const key of [up, down]) truthy((await key.boundingBox()).height >= 48, 'its keys are for a thumb');
  for (let i = 0; i < 3; i++) await up.tap();
  await page.waitForFunction((w) => document.querySelector('.chosen .map').getBoundingClientRect().width > 2.9 * w, once);
  truthy(await up.isDisabled(), 'three times is the largest');
  const frame = page.getByRole('region', { name: /Map of 2123/ });
  const at = await frame.evaluate((f) => (f.scrollLeft + f.clientWidth / 2) / f.scrollWidth);
  truthy(Math.abs(at - 0.5) < 0.02, `the middle stays in the middle, and is at ${at}`);
  equal(await misfits(page), [], 'the engine at three times');
  await accessible(page, 'the engine at three times');
  await picture(page, 'fit-larger-engine');
  const before = await frame.evaluate((f) => (f.focus(), f.scrollLeft));
  await page.keyboard.press('ArrowRight');
  await page.waitForFunction((b) => document.querySelector('.chosen .zoom').scrollLeft > b, before);
  await page.reload();
  await page.waitForFunction((w) => document.querySelector('.chosen .map')?.getBoundingClientRect().width > 2.9 * w, once);
  await down.tap();
  await page.waitForFunction((w) => document.querySelector('.chosen .map').getBoundingClientRect().width < 2.1 * w, once);
  await page.locator('.chosen [data-place="main.3.journal"]').tap();
  await page.locator('.pad').waitFor();
}

export const cases = [
  ['every screen fits with twice the text', onPhone(twiceTheText)], ['every screen fits with the longest names', onPhone(longNames)],
  ['every screen fits with the longest names in twice the text', onPhone(both)],
  ['either thumb reaches what is pressed most', onPhone(thumbs)],
  ['the engine is drawn larger by a tap', onPhone(larger)],
];
