// Drawing a mark on a photo with two points: a tap each, or the arrow keys and
// Enter. Half a mark survives a reload (T3).
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { keep } from '../app/core';
import { say } from '../app/state';
import { Problem } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

interface Dot { x: number; y: number }
type Shape = 'arrow' | 'ring';
/** A mark in hand: points in thousandths of width and height. */
export interface Mark { shape: Shape; from?: Dot; to?: Dot; words: string }

export interface Aim {
  value: Mark | undefined;
  set(m: Mark | undefined): void;
  /** It was kept, and its draft with it. */
  kept(): void;
}

const points: Record<Shape, [string, string]> = { arrow: ['tail', 'tip'], ring: ['centre', 'edge'] };

export function useAim(photo: string): Aim {
  const [value, set, kept] = useDraft<Mark | undefined>(`mark:${photo}`, undefined);
  return { value, set, kept: () => kept() };
}

/** The entry's body once both points are set. */
export function bodyOf(m: Mark | undefined, photo: string): Record<string, unknown> | undefined {
  if (m?.from === undefined || m.to === undefined) return undefined;
  const words = m.words.trim();
  return { photo, shape: m.shape, x: m.from.x, y: m.from.y, to_x: m.to.x, to_y: m.to.y, ...(words === '' ? {} : { words }) };
}

/** The point that is asked for now, or undefined when both are set. */
function asked(m: Mark): string | undefined {
  return m.from === undefined ? points[m.shape][0] : m.to === undefined ? points[m.shape][1] : undefined;
}

/** Lies over the photo while a point is asked for. */
export function AimLayer({ aim }: { aim: Aim }) {
  const layer = useRef<HTMLDivElement>(null);
  const [at, setAt] = useState<Dot | undefined>();
  const hand = useRef<Dot | undefined>(undefined); // keys come faster than the screen is drawn
  const m = aim.value;
  const now = useRef(m); // the mark as the last key left it
  now.current = m;
  const point = m === undefined ? undefined : asked(m);
  useLayoutEffect(() => {
    if (point !== undefined) layer.current?.focus();
  }, [point]);
  if (m === undefined || point === undefined) return null;
  const set = (d: Dot) => {
    const before = now.current ?? m;
    now.current = before.from === undefined ? { ...before, from: d } : { ...before, to: d };
    aim.set(now.current);
  };
  const tap = (e: MouseEvent) => {
    const r = (e.currentTarget as Element).getBoundingClientRect();
    set({ x: part(e.clientX - r.left, r.width), y: part(e.clientY - r.top, r.height) });
  };
  const key = (e: KeyboardEvent) => {
    const here = hand.current ?? m.from ?? { x: 500, y: 500 };
    const next = moved(here, e);
    if (next !== undefined) setAt((hand.current = next));
    else if (e.key === 'Enter') set(here);
    else if (e.key === 'Escape') aim.set(m.from === undefined ? undefined : { shape: m.shape, words: m.words });
    else return;
    e.preventDefault();
  };
  return (
    <div class="aim" ref={layer} tabIndex={0} role="application" aria-label={`Photo: set the ${point}. Arrow keys move, Shift makes small steps, Enter sets it, Escape goes back.`} onClick={tap} onKeyDown={key}>
      <svg viewBox="0 0 1000 1000" preserveAspectRatio="none" aria-hidden="true">
        {m.from !== undefined && <Cross d={m.from} arm={25} />}
        {at !== undefined && <Cross d={at} arm={1000} />}
      </svg>
      <span class="said" role="status">{at === undefined ? '' : `${Math.round(at.x / 10)} % across, ${Math.round(at.y / 10)} % down`}</span>
    </div>
  );
}

function Cross({ d, arm }: { d: Dot; arm: number }) {
  const path = `M${d.x - arm} ${d.y}H${d.x + arm}M${d.x} ${d.y - arm}V${d.y + arm}`;
  return <><path class="pm-case" d={path} /><path class="pm-line" d={path} /></>;
}

function part(at: number, of: number): number {
  return Math.min(1000, Math.max(0, Math.round((at / of) * 1000)));
}

function moved(d: Dot, e: KeyboardEvent): Dot | undefined {
  const step = e.shiftKey ? 2 : 20;
  const ways: Record<string, [number, number]> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
  const way = ways[e.key];
  if (way === undefined) return undefined;
  return { x: part(d.x + way[0], 1000), y: part(d.y + way[1], 1000) };
}

/** The buttons under the photo: choose, set two points, keep. */
export function MarkForm({ aim, photo }: { aim: Aim; photo: string }) {
  const m = aim.value;
  if (m === undefined) return <Choose aim={aim} />;
  const point = asked(m);
  return (
    <section class="marking" aria-label="Add a mark">
      {point === undefined ? <KeepMark aim={aim} m={m} photo={photo} /> : (
        <p role="status">{m.shape === 'arrow' ? 'Arrow' : 'Ring'}: tap its <b>{point}</b> on the photo. With keys: the arrows move, Enter sets it.</p>
      )}
      <p class="actions">
        {m.from !== undefined && <button type="button" onClick={() => aim.set({ shape: m.shape, words: m.words })}>Set it again</button>}
        <button type="button" onClick={() => aim.set(undefined)}>Leave it</button>
      </p>
    </section>
  );
}

function Choose({ aim }: { aim: Aim }) {
  return (
    <p class="actions" role="group" aria-label="Add a mark">
      {(['arrow', 'ring'] as const).map((shape) => (
        <button key={shape} type="button" onClick={() => aim.set({ shape, words: '' })}>
          <svg class="play-shape" viewBox="0 0 20 20" aria-hidden="true">{shape === 'arrow' ? <path d="M2 16L12 6L9 3H17V11L14 8L4 18Z" /> : <path d="M10 1A9 9 0 1 0 10 19A9 9 0 1 0 10 1ZM10 4A6 6 0 1 1 10 16A6 6 0 1 1 10 4Z" />}</svg>
          {shape === 'arrow' ? 'Draw an arrow' : 'Draw a ring'}
        </button>
      ))}
    </p>
  );
}

function KeepMark({ aim, m, photo }: { aim: Aim; m: Mark; photo: string }) {
  const [error, setError] = useState<string | undefined>();
  const save = async (e: Event) => {
    e.preventDefault();
    const body = bodyOf(m, photo);
    if (body === undefined) return;
    try {
      await keep({ kind: 'mark', body }, [`mark:${photo}`]);
      aim.kept();
      say('Mark saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
  };
  return (
    <form onSubmit={(e) => void save(e)}>
      <label>What it shows (need not be filled in)<input value={m.words} onInput={(e) => aim.set({ ...m, words: e.currentTarget.value })} autocomplete="off" /></label>
      <Problem error={error} />
      <button type="submit" class="wide primary">Keep the {m.shape}</button>
    </form>
  );
}
