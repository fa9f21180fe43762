// The wall: for a screen that nobody touches. One part of the page at a time, large, and slowly the next; what does not fit on
// the screen goes on in the next turn, so that no line is cut. Space or a touch holds it, and lets it go on. Whoever wants no
// motion gets none: the parts change without fading.
import { measured } from './turns.js';

/** How long a part stands, in milliseconds; a photo stands as long. */
const stands = 20000;

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
  let turns = [];

  const draw = () => {
    if (turns.length === 0) return;
    at %= turns.length;
    turns[at].show();
    says.textContent = `${at + 1} of ${turns.length}${held ? ', held: space or a touch goes on' : ''}`;
  };
  const measure = () => {
    turns = measured(main);
    draw();
  };
  const on = () => {
    at++;
    draw();
    comes(main);
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
  addEventListener('resize', measure);
  if (document.fonts) document.fonts.addEventListener('loadingdone', measure); // other letters, other lines
  main.addEventListener('click', hold);
  stayAwake();
  return measure;
}

/** A new turn comes softly; one that is only drawn anew stands as it stood. */
function comes(main) {
  for (const part of main.querySelectorAll('[data-slide]')) part.classList.remove('come');
  void main.offsetWidth; // or the browser would not begin again
  for (const part of main.querySelectorAll('[data-slide].now')) part.classList.add('come');
}

/** Asks that the screen stays on; a browser that cannot is left to its own settings. */
function stayAwake() {
  const ask = () => {
    if (document.visibilityState === 'visible' && navigator.wakeLock) navigator.wakeLock.request('screen').catch(() => undefined);
  };
  ask();
  document.addEventListener('visibilitychange', ask);
}
