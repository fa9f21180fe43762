import { beforeEach, expect, test, vi } from 'vitest';

const page = vi.hoisted(() => {
  const drafts = new Map<string, unknown>();
  const location = { hash: '' };
  Object.assign(globalThis, { location, addEventListener: () => undefined, document: { documentElement: { dataset: {} } } });
  return { drafts, location };
});
vi.mock('./core', () => ({
  loadDraft: async (key: string) => page.drafts.get(key),
  saveDraft: async (key: string, value: unknown) => void page.drafts.set(key, value),
  dropDraft: async (key: string) => void page.drafts.delete(key),
}));

const { addressOf, keepWaitingTag, tagOf, takeWaitingTag, wayIn } = await import('./tag');

const job = 'b8eb03cde8ac727098e3608e4fcd5d38';
const routeOf = (address: string) => ({ ...Object.fromEntries(new URLSearchParams(address.split('?')[1])), screen: 't' });

beforeEach(() => page.drafts.clear());

test('an address is short, of our own origin, and says no side', () => {
  expect(addressOf('https://heron.example', job, { a: '2123', p: 'main.3.journal' })).toBe('https://heron.example/#/t?a=2123&p=main.3.journal&j=b8eb03cd');
});

test('what is printed is what is read back', () => {
  const things: Record<string, string>[] = [{ a: '2123' }, { a: '2117', p: 'head' }, { t: '2123:crank' }, { t: 'R & D / 7' }, { s: 'stand 1' }];
  for (const thing of things) {
    const read = tagOf(routeOf(addressOf('https://heron.example', job, thing)));
    expect(job.startsWith(read.job)).toBe(true);
    const all = { a: '', p: '', t: '', s: '', ...thing };
    expect(read.args).toEqual({ asm: all.a, at: all.p, part: all.t, stand: all.s });
  }
});

test('a pasted address is a way in; other words are not', () => {
  expect(wayIn(' https://heron.example/#/t?a=2123&j=b8eb03cd\n')).toBe('#/t?a=2123&j=b8eb03cd');
  expect(wayIn('main 3')).toBeUndefined();
  expect(wayIn('#/point?asm=2123')).toBeUndefined();
});

test('a tag scanned before pairing waits, and is taken once', async () => {
  page.location.hash = '#/t?a=2123&j=b8eb03cd';
  await keepWaitingTag();
  page.location.hash = '#pair=ABCD';
  await keepWaitingTag();
  expect(await takeWaitingTag()).toBe('#/t?a=2123&j=b8eb03cd');
  expect(await takeWaitingTag()).toBeUndefined();
});
