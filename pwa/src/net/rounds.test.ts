import { describe, expect, it } from 'vitest';
import { firstWait, Retry } from './retry';
import { Rounds } from './rounds';

describe('rounds of handing in', () => {
  it('a call in the last moment of one that failed makes another, though it stopped the clock of the next try (T15)', async () => {
    const waits: number[] = [];
    let clocks = 0;
    let tried = 0;
    const retry = new Retry({ random: () => 1, after: (ms) => { waits.push(ms); clocks++; return () => clocks--; } }, () => undefined);
    const wake = () => {
      retry.reset();
      return rounds.call();
    };
    const rounds = new Rounds(async () => {
      if (++tried > 1) return;
      retry.failed();
      await Promise.resolve(); // it still counts what waits
      void wake();
    });
    await wake();
    expect([waits, clocks, tried]).toEqual([[firstWait], 0, 2]);
  });
  it('one is under way at a time, and many calls meanwhile make one more', async () => {
    let under = 0;
    let most = 0;
    let tried = 0;
    const rounds = new Rounds(async () => {
      tried++;
      most = Math.max(most, ++under);
      await Promise.resolve();
      under--;
    });
    await Promise.all([rounds.call(), rounds.call(), rounds.call()]);
    expect([tried, most]).toEqual([2, 1]);
  });
  it('a call right after the last one, or after one that threw, begins anew', async () => {
    let tried = 0;
    const rounds = new Rounds(() => (++tried === 1 ? Promise.reject(new Error('no')) : Promise.resolve()));
    await expect(rounds.call()).rejects.toThrow('no');
    const second = rounds.call();
    for (let i = 0; i < 20; i++) void second.then(() => rounds.call()); // each in a moment of its own behind its end
    await second;
    await rounds.call();
    expect(tried).toBeGreaterThanOrEqual(3);
  });
});
