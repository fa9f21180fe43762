import { signal } from '@preact/signals';
import { beforeEach, expect, test, vi } from 'vitest';
import type { Route } from './state';

const office = vi.hoisted(() => ({ drafts: new Map<string, unknown>() }));
vi.mock('./core', () => ({
  status: signal({ job: '' }),
  loadDraft: async (key: string) => office.drafts.get(key),
  saveDraft: async (key: string, value: unknown) => void office.drafts.set(key, value),
}));
vi.mock('./state', () => ({ route: signal({ screen: 'engine' }) }));

const { mostRecent, placeOf, recent, remembered, rememberPlaces } = await import('./recent');
const { status } = await import('./core');
const { route } = await import('./state');

const job = (name: string) => (status.value = { ...status.value, job: name });

beforeEach(() => office.drafts.clear());

test('a place is what a point or a joint is of', () => {
  expect(placeOf({ screen: 'point', asm: '2123', at: 'pin.4.journal', point: 'a.V' })).toEqual({ asm: '2123', at: 'pin.4.journal' });
  expect(placeOf({ screen: 'tighten', asm: '2117', joint: 'head' })).toEqual({ asm: '2117', at: 'head' });
  const others: Route[] = [{ screen: 'engine', asm: '2117' }, { screen: 'point', at: 'main.1.journal' }, { screen: 'result', id: 'x' }];
  for (const r of others) expect(placeOf(r)).toBeUndefined();
});

test('the last place stands first, each once, twelve at most', () => {
  let list = [{ asm: '2117', at: 'head' }];
  for (let i = 1; i <= 20; i++) list = remembered(list, { asm: '2117', at: `main.${i}.journal` });
  expect(list).toHaveLength(mostRecent);
  list = remembered(list, { asm: '2117', at: 'main.15.journal' });
  expect(list).toHaveLength(mostRecent);
  expect(list[0]).toEqual({ asm: '2117', at: 'main.15.journal' });
  expect(list.filter((p) => p.at === 'main.15.journal')).toHaveLength(1);
  expect(remembered([{ asm: '2117', at: 'head' }], { asm: '2123', at: 'head' })).toHaveLength(2);
});

test('places are kept by job and are there after a cold start', async () => {
  office.drafts.set('recent:job 1', [{ asm: '2117', at: 'head' }]);
  rememberPlaces();
  route.value = { screen: 'point', asm: '2123', at: 'pin.4.journal' };
  job('job 1');
  const both = [{ asm: '2123', at: 'pin.4.journal' }, { asm: '2117', at: 'head' }];
  await vi.waitFor(() => expect(office.drafts.get('recent:job 1')).toEqual(both));
  expect(recent.value).toEqual(both);
  route.value = { screen: 'today' };
  job('job 2');
  await vi.waitFor(() => expect(recent.value).toEqual([]));
  expect(office.drafts.get('recent:job 1')).toEqual(both);
  expect(office.drafts.has('recent:job 2')).toBe(false);
});
