// The wall: for a screen that nobody touches. One part of the page at a time, large, and slowly the next. Space or a touch
// holds it, and lets it go on. Whoever wants no motion gets none: the parts change without fading.

/** How long a part stands, in milliseconds; a photo stands as long. */
const stands = 20_000;

/** How many photos stand side by side. */
const abreast = 3;

/** Starts the wall; the answer is called whenever the page was drawn anew. */
export function wall(main) {
  document.body.classList.add('wall');
  const says = document.createElement('p');
  says.id = 'wall-says';
  says.setAttribute('role', 'status');
  document.body.append(says);
  let at = 0;
  let held = false;
  let timer;

  const parts = () => [...main.querySelectorAll('[data-slide]')].flatMap((part) => (part.dataset.slide === 'photos' ? album(part) : [[part]]));

  const draw = () => {
    const all = parts();
    if (all.length === 0) return;
    at %= all.length;
    const shown = new Set(all[at]);
    for (const part of main.querySelectorAll('[data-slide]')) part.classList.toggle('now', shown.has(part) || [...part.querySelectorAll('figure')].some((f) => shown.has(f)));
    for (const figure of main.querySelectorAll('figure')) figure.hidden = !shown.has(figure);
    for (const img of main.querySelectorAll('figure:not([hidden]) img')) img.loading = 'eager';
    says.textContent = `${at + 1} of ${all.length}${held ? ', held: space or a touch goes on' : ''}`;
  };
  const on = () => {
    at++;
    draw();
  };
  const hold = () => {
    held = !held;
    clearInterval(timer);
    if (!held) timer = setInterval(on, stands);
    draw();
  };
  timer = setInterval(on, stands);
  addEventListener('keydown', (e) => {
    if (e.key === ' ') hold();
    else if (e.key === 'ArrowRight') on();
    else return;
    e.preventDefault();
  });
  main.addEventListener('click', hold);
  stayAwake();
  return draw;
}

/** The photos, a few at a time. */
function album(part) {
  const figures = [...part.querySelectorAll('figure')];
  return figures.flatMap((_, i) => (i % abreast === 0 ? [figures.slice(i, i + abreast)] : []));
}

/** Asks that the screen stays on; a browser that cannot is left to its own settings. */
function stayAwake() {
  const ask = () => document.visibilityState === 'visible' && navigator.wakeLock?.request('screen').catch(() => undefined);
  ask();
  document.addEventListener('visibilitychange', ask);
}
