// What the page itself remembers: where it is, and the sitting (engine, taker,
// instrument), set once and kept through a reload (T3).
import { effect, signal } from '@preact/signals';
import type { Engine, Line } from '../core/types';
import { stamp } from '../log/log';
import { loadDraft, putDraft, status, undoable } from './core';

export interface Route { screen: string; [param: string]: string }

/** Where the page is, this instant: `route` follows with the browser's next event. */
export function routeNow(): Route {
  const [screen, query] = location.hash.replace(/^#\//, '').split('?');
  return { ...Object.fromEntries(new URLSearchParams(query ?? '')), screen: screen === undefined || screen === '' ? 'engine' : screen };
}

export const route = signal<Route>(routeNow());
addEventListener('hashchange', () => {
  route.value = routeNow();
  undone.value = '';
  scrollTo(0, 0);
});

/** The one engine that the screen says it is of, where its address does not. */
export const about = signal<Engine | undefined>(undefined);

export function href(screen: string, params: Record<string, string | undefined> = {}): string {
  const q = new URLSearchParams();
  for (const [k, v] of Object.entries(params)) if (v !== undefined && v !== '') q.set(k, v);
  const text = q.toString();
  return `#/${screen}${text === '' ? '' : `?${text}`}`;
}

export function go(screen: string, params: Record<string, string | undefined> = {}): void {
  location.hash = href(screen, params);
}

export interface Sitting {
  /** The job that it belongs to; '' before there was one. */
  job: string;
  asm: string;
  where: '' | 'timing' | 'flywheel' | 'under';
  instrument: string;
  temp: string;
  walk: '' | 'direction' | 'twin'; // place by place, all of one direction first, or as on the other engine
  sheet: string; // the sheet that is walked first as on the other engine
  seen: number; // when the engine was last confirmed, ms
  theme: '' | 'day' | 'pit';
  /** Who takes the readings, when it is somebody else than the writer. */
  taker: string;
  /** Keep what a gauge sends at once, and go on. */
  each: boolean;
  /** The unit that each instrument was last read in; '' for no instrument named. */
  units: Record<string, string>;
  /** How large the engine is drawn: 0 is the whole width, each step larger. */
  zoom: number;
}

export const sitting = signal<Sitting>({ job: '', asm: '', where: '', instrument: '', temp: '', walk: '', sheet: '', seen: Date.now(), theme: '', taker: '', each: false, units: {}, zoom: 0 });

let loaded = false;

/** Brings back the sitting that was set before the page was closed. */
export async function restore(): Promise<void> {
  let old: Sitting | undefined;
  try {
    old = await loadDraft<Sitting>('sitting');
  } catch {
    return; // the store is not to be had; the screen says so
  }
  if (old !== undefined) sitting.value = { ...sitting.value, ...old };
  loaded = true;
}

export function sit(change: Partial<Sitting>): void {
  sitting.value = { ...sitting.value, ...change };
}

effect(() => {
  const now = sitting.value;
  document.documentElement.dataset['theme'] = now.theme;
  if (loaded) putDraft('sitting', now);
});

/** One line that says what just happened; read out by screen readers. */
export const said = signal('');
export function say(words: string): void {
  said.value = words;
}

/** A point of a place of an engine. */
export interface Spot { asm: string; at: string; point: string }

/** What was kept last and what it means, shown where it was kept and where the walk went on to. */
export const kept = signal<{ words: string; line?: Line; to?: Spot; id?: string } & Spot | undefined>(undefined);

/** What was taken back a moment ago, in words; until the page goes elsewhere or something else is kept. */
export const undone = signal('');

/** Today where the phone is, as in 2031-04-12: a move belongs to the day of those who made it. */
export function today(): string {
  return stamp(new Date()).slice(0, 10);
}

/** From here on the sitting begins anew with another job: an engine, a taker and a tool are of one job. Nothing of the last one is taken back from here. */
export function sitAnewWithEachJob(): void {
  effect(() => {
    const { job } = status.value;
    const now = sitting.value;
    if (job === '' || now.job === job) return;
    if (now.job === '') return sit({ job });
    undoable.value = undefined;
    kept.value = undefined;
    undone.value = '';
    sit({ job, asm: '', instrument: '', sheet: '', walk: '', taker: '', units: {} });
  });
}
