// Which part of the page stands in which turn of the wall. It is measured, not guessed: a turn takes lines as long as the
// screen holds them.

/** Room below for the line that says which turn it is, in pixels. */
const below = 36;

/** How many photos stand side by side at most. */
const abreast = 3;

/** The letters of a turn of which even one line does not fit, in hundredths. */
const smaller = [85, 70, 55, 45, 35];

/** The letters of a turn that would leave the screen half empty, in hundredths: the largest that fit. */
const larger = [180, 160, 140, 120];

/** How much of the screen's height a turn fills before its letters are left as they are. */
const filled = 0.6;

/** The turns of the page as it stands, each with show. */
export function measured(main) {
  const turns = [];
  const slides = Array.from(main.querySelectorAll('[data-slide]'));
  for (const slide of slides) {
    slide.style.fontSize = '';
    for (const part of partsOf(slide)) {
      const units = unitsOf(part);
      const turn = (shown) => ({ show: () => only(slides, slide, part, units, shown) });
      for (const shown of split(units, (some) => fits(slide, () => turn(some).show()))) turns.push(sized(slide, turn(shown)));
    }
  }
  return turns;
}

/** Each engine stands by itself: its map would be too small beside the other. */
function partsOf(slide) {
  return slide.dataset.slide === 'engines' ? Array.from(slide.children) : [slide];
}

/** What can go on in the next turn: each unit with its own lines, which part only when the unit alone is too long. */
function unitsOf(part) {
  if (part.dataset.slide === 'photos') return Array.from(part.querySelectorAll('figure')).map((f) => ({ node: f, lines: [] }));
  const list = Array.from(part.children).find((c) => c.tagName === 'UL');
  return list === undefined ? [] : Array.from(list.children).map((node) => ({ node, lines: Array.from(node.querySelectorAll('.todo > li')) }));
}

/** Puts units into turns, as many as fit. A turn is a list of nodes: units that stand whole, or lines of one unit. */
function split(units, fit) {
  if (units.length === 0) return [[]];
  const turns = [];
  let now = [];
  const close = () => {
    if (now.length > 0) turns.push(now);
    now = [];
  };
  const photos = units[0].node.tagName === 'FIGURE';
  for (const u of units) {
    const whole = [u.node, ...u.lines];
    if ((photos && now.length === abreast) || !fit(now.concat(whole))) close();
    if (u.lines.length < 2 || fit(now.concat(whole))) now = now.concat(whole);
    else for (const line of u.lines) {
      if (now.length > 0 && !fit(now.concat(u.node, line))) close();
      now = now.concat(u.node, line);
    }
  }
  close();
  return turns;
}

/** Shows one part of one slide, and of its units those that are named. */
function only(slides, slide, part, units, shown) {
  const on = new Set(shown);
  for (const s of slides) s.classList.toggle('now', s === slide);
  slide.classList.toggle('alone', units.filter((u) => on.has(u.node)).length === 1); // it has the whole width
  for (const p of partsOf(slide)) p.hidden = p !== part && p !== slide;
  for (const u of units) {
    u.node.hidden = !on.has(u.node);
    for (const line of u.lines) line.hidden = !on.has(line);
  }
  for (const img of slide.querySelectorAll('figure:not([hidden]) img')) img.loading = 'eager';
}

function fits(slide, show) {
  show();
  return ends(slide) <= innerHeight - below;
}

/** Where the lowest of what stands ends. */
const ends = (slide) => Math.max(...Array.from(slide.querySelectorAll('*')).map((n) => n.getBoundingClientRect().bottom));

/** Large letters may make a word wider than its column: then it would be cut. */
const uncut = (slide) => Array.from(slide.querySelectorAll('*')).every((n) => n.scrollWidth <= n.clientWidth + 1 || getComputedStyle(n).display === 'inline');

/** The largest letters with which nothing of a turn is cut; '' when that is those it has. */
function grown(slide, turn) {
  for (const s of larger) {
    slide.style.fontSize = `${s}%`;
    if (fits(slide, turn.show) && uncut(slide)) return `${s}%`;
  }
  return '';
}

/** A turn that does not fit even alone has smaller letters, one with little in it larger ones. */
function sized(slide, turn) {
  let size = '';
  if (fits(slide, turn.show) && ends(slide) < filled * innerHeight) size = grown(slide, turn);
  else for (const s of smaller) {
    slide.style.fontSize = size;
    if (fits(slide, turn.show)) break;
    size = `${s}%`;
  }
  slide.style.fontSize = '';
  return {
    show() {
      slide.style.fontSize = size;
      turn.show();
    },
  };
}
