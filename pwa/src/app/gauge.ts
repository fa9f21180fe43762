// The page's ear for gauges that type (T63): every key passes here first. A
// whole burst goes to the armed point and nowhere else; with none armed it is
// said in words and recorded nowhere.
import { signal } from '@preact/signals';
import { burstGap, GaugeReader, readSent, type Heard, type Sent } from '../widgets/gauge';

/** The pad on the screen: it takes a value whole, and forgets what a burst has typed on it. */
export interface PadPort {
  /** Names the point that the pad belongs to. */
  key: string;
  /** Takes a gauge's value, or says why not. */
  take(sent: Sent): { words: string; refused: boolean };
  /** Remembers what stands there: keys begin to run. */
  mark(): void;
  /** Puts back what stood there then. */
  undo(): void;
}

/** The point that gauges type for, by its pad's key; '' is none. */
export const armed = signal('');

/** Arms a point, or with '' none; what ran before on the keys is no part of what comes. */
export function arm(pad: string): void {
  armed.value = pad;
  reader.forget();
}

/** What a gauge did last, in words. What was not taken stays until it is seen, or until the next value. */
export const gaugeSays = signal<{ words: string; refused: boolean }>({ words: '', refused: false });

const reader = new GaugeReader();
let port: PadPort | undefined;

/** The pad that is on the screen now; the answer takes it away again. */
export function showPad(p: PadPort): () => void {
  port = p;
  return () => {
    if (port === p) port = undefined;
  };
}

let timer: ReturnType<typeof setTimeout> | undefined;
/** A text field that has the keys, and what stood in it before they came. */
let field: { el: HTMLInputElement | HTMLTextAreaElement; before: string; last: number } | undefined;

const refuse = (words: string) => (gaugeSays.value = { words, refused: true });

export const seen = (): void => void (gaugeSays.value = { words: '', refused: false });

/** Handed every key before anything else; true when the key was a gauge's and is dealt with. */
export function struck(key: string, at: number, target: EventTarget | null): boolean {
  remember(target, at);
  if (field?.el.dataset['takesGauge'] !== undefined) { // a box that is a point of its own: typed or sent, it goes there
    reader.forget();
    return false;
  }
  const heard = reader.key(key, at);
  clearTimeout(timer);
  timer = setTimeout(() => half(reader.quiet(performance.now())), 2 * burstGap);
  if (heard.what === 'burst') return burst(heard.text);
  half(heard);
  if (reader.first) port?.mark();
  return heard.what === 'half' && (key === 'Enter' || key === 'Tab');
}

function remember(target: EventTarget | null, at: number): void {
  const text = target instanceof HTMLTextAreaElement || (target instanceof HTMLInputElement && target.type === 'text');
  if (!text) field = undefined;
  else if (field?.el !== target || at - field.last > burstGap) field = { el: target, before: target.value, last: at };
  else field.last = at;
}

/** Takes a burst's figures out of a field that they did not belong in. */
function unwrite(): void {
  if (field === undefined) return;
  field.el.value = field.before;
  field.el.dispatchEvent(new Event('input', { bubbles: true }));
}

function burst(text: string): boolean {
  const sent = readSent(text);
  const here = port !== undefined && armed.value === port.key;
  if (sent === undefined) {
    if (!here) return false; // something else that types: none of the gauge's business
    port?.undo();
    refuse(`The gauge sent ${text}, which is no length. Nothing was taken.`);
    return true;
  }
  unwrite();
  if (port !== undefined && here) gaugeSays.value = port.take(sent);
  else {
    port?.undo();
    refuse(`A gauge sent ${text.trim()} but no point is armed. Nothing was recorded.`);
  }
  return true;
}

/** Told while a point is armed; without, quick keys may be anybody's. */
function half(h: Heard): void {
  if (h.what !== 'half' || port === undefined || armed.value !== port.key) return;
  port.undo();
  unwrite();
  refuse(`Only a part of a value came from the gauge: ${h.text}. Nothing was taken; send it again.`);
}

/** Listens on the whole page, before fields and buttons do. */
export function listen(): void {
  document.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.isComposing) return;
    if (!struck(e.key, e.timeStamp, e.target)) return;
    e.preventDefault();
    e.stopPropagation();
  }, { capture: true });
  addEventListener('hashchange', () => !gaugeSays.value.refused && seen());
}
