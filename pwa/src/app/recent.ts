// The places this phone was at last, derived from where it goes; kept by job
// in the store of drafts, so that a cold start still knows them.
import { effect, signal } from '@preact/signals';
import { loadDraft, saveDraft, status } from './core';
import { route, type Route } from './state';

export interface RecentPlace { asm: string; at: string }

/** How many places are remembered. */
export const mostRecent = 12;

/** The place that a screen is of: a point's, or a joint's. */
export function placeOf(r: Route): RecentPlace | undefined {
  const at = r.screen === 'point' ? r['at'] : r.screen === 'tighten' ? r['joint'] : undefined;
  const asm = r['asm'];
  return at === undefined || asm === undefined ? undefined : { asm, at };
}

/** The list with a place put first, each place once. */
export function remembered(list: RecentPlace[], p: RecentPlace): RecentPlace[] {
  return [p, ...list.filter((o) => o.asm !== p.asm || o.at !== p.at)].slice(0, mostRecent);
}

/** The recent places of the job in hand, the last one first. */
export const recent = signal<RecentPlace[]>([]);

const key = (job: string) => `recent:${job}`;

/** From here on every place that is opened is remembered. */
export function rememberPlaces(): void {
  let job = '';
  let list: Promise<RecentPlace[]> = Promise.resolve([]);
  effect(() => {
    const now = status.value.job;
    const place = placeOf(route.value);
    if (now === '') return;
    if (now !== job) {
      job = now;
      list = loadDraft<RecentPlace[]>(key(now)).then((old) => old ?? []);
    }
    list = list.then((old) => told(now, old, place));
  });
}

async function told(job: string, old: RecentPlace[], place: RecentPlace | undefined): Promise<RecentPlace[]> {
  const list = place === undefined ? old : remembered(old, place);
  recent.value = list;
  if (place !== undefined && JSON.stringify(list) !== JSON.stringify(old)) await saveDraft(key(job), list);
  return list;
}
