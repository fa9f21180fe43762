// Draws what the core's view 'public' says. Everything is built from text nodes; only the engines' drawings come as markup,
// from the same core, and pass the page's one Trusted Types policy.
const svgSpace = 'http://www.w3.org/2000/svg';

const policy = window.trustedTypes && window.trustedTypes.createPolicy('witnessmark', { createHTML: checked });

/** What the view leaves out is an empty list. */
const all = (list) => list || [];

/** A drawing, or an error: no script and no handler may ride on it. */
function checked(text) {
  if (!/^\s*<svg[\s>]/.test(text) || /<script|<foreignObject|\son\w+\s*=|javascript:/i.test(text)) throw new TypeError('not a drawing');
  return text;
}

export function empty(node) {
  while (node.firstChild) node.removeChild(node.firstChild);
}

/** Makes an element with text or children; undefined children are left out. */
function make(tag, attributes, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value !== undefined) node.setAttribute(name, value);
  node.append(...children.filter((c) => c !== undefined && c !== ''));
  return node;
}

function drawing(text, label) {
  const parsed = new DOMParser().parseFromString(policy ? policy.createHTML(text) : checked(text), 'image/svg+xml');
  const svg = document.importNode(parsed.documentElement, true);
  if (!svg.hasAttribute('aria-label') && !svg.hasAttribute('aria-labelledby')) svg.setAttribute('aria-label', label);
  if (!svg.hasAttribute('role')) svg.setAttribute('role', 'img');
  return svg;
}

/** Shows the whole job in node. Base is the path of the link, under which its photos are. */
export function show(node, data, base) {
  const view = data.view;
  document.title = view.title || 'Witnessmark';
  document.getElementById('title').textContent = view.title || 'The job as it stands';
  const unfolded = [...node.querySelectorAll('details[open]')].map((d) => d.id);
  const parts = [running(view), unsettled(view), week(view), next(view), engines(view), both(view), missing(view), decisions(view), photos(view, base), foot(view, data.link)];
  empty(node);
  node.append(...parts.filter((p) => p !== undefined));
  for (const id of unfolded) if (document.getElementById(id)) document.getElementById(id).setAttribute('open', '');
}

const verdictClass = (verdict) => (verdict || 'none').replace(' ', '-');

/** A titled section, or nothing when there is nothing in it. */
function section(title, items, classes = '') {
  if (items.length === 0) return undefined;
  return make('section', {}, make('h2', {}, title), make('ul', { class: `lines ${classes}` }, ...items));
}

function unsettled(view) {
  return section('Not settled yet', all(view.contested).map((c) =>
    make('li', { class: 'plain' }, make('span', { class: 'word contested' }, 'readings differ'), make('span', {}, c.words), make('span', { class: 'aside' }, c.says))));
}

/** What runs on the bench now, with what was read last. */
function running(view) {
  const sides = [].concat(...all(view.running).map((r) => r.sides.map((s) => ({ s, title: r.title }))));
  return slide(section('Running now', sides.map(({ s, title }) => make('li', { class: 'plain' },
    make('span', { class: 'word' }, `${named(view, s.asm) || s.asm}: ${title}, ${s.state}`),
    ...s.alarms.map((a) => make('span', { class: 'outside' }, `■ ${a}`)),
    make('span', {}, s.read.length > 0 ? `${s.read.join('; ')}.` : 'Nothing was read yet.')))), 'running');
}

/** What was done in the last seven days, engine by engine, in the office's own words. */
function week(view) {
  const lines = all(view.week);
  const list = [...new Set(lines.map((w) => w.asm))].map((asm) => {
    const own = lines.filter((w) => w.asm === asm).map((w) => make('li', {}, w.words));
    return make('li', { class: 'plain' }, make('span', { class: 'word' }, named(view, asm) || 'Both engines, and the group'), make('ul', { class: 'todo' }, ...own));
  });
  return slide(section('This week', list.length > 0 ? list : [make('li', { class: 'plain' }, 'Nothing was written down in the last seven days.')]), 'week');
}

/** What comes next on each engine, what it waits for, and who is needed. */
function next(view) {
  const list = all(view.next).map((n) => make('li', { class: 'plain' },
    make('span', { class: 'word' }, [named(view, n.asm), n.title].filter(Boolean).join(': ')), n.hold ? make('span', { class: 'aside' }, n.hold) : undefined,
    all(n.todo).length > 0 ? make('ul', { class: 'todo' }, ...n.todo.map((t) => make('li', {}, t)), n.more > 0 ? make('li', {}, `and ${n.more} more`) : undefined) : undefined,
    make('span', {}, `Needed: ${all(n.needed).join('; ')}.`)));
  return slide(section('What comes next', list), 'next');
}

/** An engine with its name and where it is; undefined for what is of no one engine. */
function named(view, asm) {
  const e = all(view.engines).find((x) => x.asm === asm);
  return e === undefined ? undefined : `${e.name} (${e.asm}), ${e.where}`;
}

/** Marks a section as one that the wall shows by itself. */
function slide(node, name) {
  if (node !== undefined) node.setAttribute('data-slide', name);
  return node;
}

function missing(view) {
  return section('Still missing', all(view.missing).map((m) => make('li', { class: 'plain' }, make('span', {}, m.words))));
}

/** The left engine is drawn left. */
const place = (e) => ({ left: 0, right: 2 }[e.side] === undefined ? 1 : { left: 0, right: 2 }[e.side]);

function engines(view) {
  const order = [...all(view.engines)].sort((a, b) => place(a) - place(b));
  return slide(make('div', { class: 'engines' }, ...order.map(engine)), 'engines');
}

function engine(e) {
  const title = `engine-${e.asm}`;
  const node = make('section', { class: `engine ${e.side || ''}`, 'aria-labelledby': title },
    make('div', { class: `band ${e.band === 'hatched' ? 'hatched' : 'solid'}`, 'aria-hidden': 'true' }),
    make('h2', { id: title }, `${e.name} (${e.asm})`),
    make('p', { class: 'of' }, `${e.band} band; ${e.where}`));
  if (e.total > 0) node.append(far(e));
  if (e.svg) node.append(make('div', { class: 'map' }, drawing(e.svg, `Drawing of engine ${e.name}, ${e.asm}`)));
  if (all(e.counts).length > 0) node.append(make('p', {}, ...counts(e.counts)));
  const [look, fine] = parted(all(e.lines));
  if (look.length > 0) node.append(make('h3', {}, 'Look again'), make('ul', { class: 'lines' }, ...look.map(result)));
  if (fine.length > 0) node.append(folded(`rest-${e.asm}`, `${fine.length} other results`, fine));
  return node;
}

/** How far along: what is measured, and what the lead has signed. */
function far(e) {
  const words = `${e.done} of ${e.total} points measured${e.holds > 0 ? `; ${e.signed} of ${e.holds} hold points signed` : ''}`;
  return make('p', { class: 'far' }, make('span', { class: 'word' }, 'How far along: '), words, make('progress', { max: e.total, value: e.done, 'aria-label': words }));
}

function counts(list) {
  return list.flatMap((c, i) => [i > 0 ? '; ' : '', make('span', { class: verdictClass(c.verdict) }, `${c.n} ${c.word}`)]);
}

/** What needs a look, and the rest. */
function parted(lines) {
  const fine = (l) => l.verdict === 'within' || l.verdict === '';
  return [lines.filter((l) => !fine(l)), lines.filter(fine)];
}

function folded(id, words, lines) {
  return make('details', { id }, make('summary', {}, words), make('ul', { class: 'lines' }, ...lines.map(result)));
}

function result(l) {
  const cond = l.cond_words ? ` (${l.cond_words})` : '';
  return make('li', {}, glyph(l.glyph, l.verdict), make('span', {}, l.words + cond),
    make('span', { class: `word ${verdictClass(l.verdict)}` }, l.word), make('span', { class: 'aside' }, l.says));
}

function both(view) {
  return section('What both engines share', all(view.both).map(result));
}

function decisions(view) {
  return section('Decided', all(view.decisions).map((d) => make('li', { class: 'plain' },
    make('span', { class: 'word' }, d.title), make('span', {}, d.why), make('span', { class: 'aside' }, [day(d.at), d.by].filter(Boolean).join(', ')),
    d.stale ? make('span', { class: 'not-proven' }, d.stale) : undefined)));
}

const day = (at) => (at || '').slice(0, 10);

function photos(view, base) {
  const list = all(view.photos);
  if (list.length === 0) return undefined;
  return slide(make('section', {}, make('h2', {}, 'Latest photos'), make('div', { class: 'photos' }, ...list.map((p) => photo(p, base)))), 'photos');
}

function photo(p, base) {
  const words = [p.caption, p.where, day(p.at), p.by].filter(Boolean).join(' · ');
  const img = make('img', { src: `${base}/photo/${p.sha}`, alt: p.caption || p.where || 'Photo', loading: 'lazy', width: 640, height: 480 });
  const figure = make('figure', {}, img, make('figcaption', {}, words));
  // The entry comes before its bytes do: until they are in the office, there is no picture.
  img.addEventListener('error', () => img.replaceWith(make('p', { class: 'none' }, 'The picture is not in the office yet.')), { once: true });
  return figure;
}

function foot(view, link) {
  const told = view.numbering ? `${view.numbering} ` : '';
  return make('p', { class: 'aside' }, `${told}${view.entries || 0} entries. Link: ${link}. To look at only; nothing can be changed here. `, make('a', { href: `?wall${location.hash}` }, 'As a wall for the tea-room'));
}

addEventListener('beforeprint', () => {
  for (const d of document.querySelectorAll('details')) d.setAttribute('open', '');
});

/** A small drawing of the limits with the value and the reach of its uncertainty; it repeats the word beside it. */
function glyph(g, verdict) {
  const svg = line('svg', { class: `glyph ${verdictClass(verdict)}`, viewBox: '0 0 64 32', 'aria-hidden': 'true', focusable: 'false' });
  const x = (permille) => 4 + (56 * Math.max(0, Math.min(1000, permille))) / 1000;
  const { lo = -1, hi = -1, val = -1, bar = -1 } = g || {};
  const from = lo >= 0 ? x(lo) : 4;
  const to = hi >= 0 ? x(hi) : 60;
  if (lo >= 0) svg.append(line('line', { x1: from, y1: 8, x2: from, y2: 24 }));
  if (hi >= 0) svg.append(line('line', { x1: to, y1: 8, x2: to, y2: 24 }));
  svg.append(line('line', { x1: from, y1: 16, x2: to, y2: 16, ...(val < 0 ? { class: 'missing' } : {}) }));
  if (val >= 0 && bar > 0) svg.append(line('path', { d: `M${x(val - bar)} 12v8M${x(val - bar)} 16H${x(val + bar)}M${x(val + bar)} 12v8` }));
  if (val >= 0) svg.append(line('circle', { cx: x(val), cy: 16, r: 4 }));
  return svg;
}

function line(tag, attributes) {
  const node = document.createElementNS(svgSpace, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, String(value));
  return node;
}
