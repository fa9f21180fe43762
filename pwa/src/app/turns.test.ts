import { expect, it } from 'vitest';
import { oneByOne } from './turns';

it('one picture is decoded at a time, in turn, and a bad one holds up none (T33)', async () => {
  const turn = oneByOne();
  const log: string[] = [];
  let busy = 0;
  const work = (name: string) => async () => {
    expect(++busy).toBe(1);
    log.push(name);
    await new Promise<void>((r) => queueMicrotask(r));
    busy--;
    if (name === 'bad') throw new Error('cannot be decoded');
  };
  const all = await Promise.allSettled(['a', 'bad', 'c'].map((n) => turn(work(n))));
  expect(log).toEqual(['a', 'bad', 'c']);
  expect(all.map((r) => r.status)).toEqual(['fulfilled', 'rejected', 'fulfilled']);
});
