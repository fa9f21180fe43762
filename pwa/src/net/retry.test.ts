import { describe, expect, it } from 'vitest';
import { firstWait, lastWait, Retry } from './retry';

function clock(random = () => 1) {
  const waits: number[] = [];
  let pending: (() => void) | undefined;
  return { waits, fire: () => pending?.(), idle: () => pending === undefined, after: (ms: number, run: () => void) => { waits.push(ms); pending = run; return () => (pending = undefined); }, random };
}

describe('trying again (T15)', () => {
  it('waits twice as long each time, up to a minute, and never stops', () => {
    const c = clock();
    const r: Retry = new Retry(c, () => r.failed());
    r.failed();
    for (let i = 0; i < 12; i++) c.fire();
    expect(c.waits[0]).toBe(firstWait);
    expect(c.waits[1]).toBe(2 * firstWait);
    expect(c.waits.at(-1)).toBe(lastWait);
    expect(c.waits.length).toBe(13);
  });
  it('an office that fails for an hour and is then well gets everything within a minute, with no input', () => {
    let now = 0;
    const later: { at: number; run: () => void }[] = [];
    let handedIn: number | undefined;
    let tries = 0;
    const r: Retry = new Retry({ random: () => 0.7, after: (ms, run) => { later.push({ at: now + ms, run }); return () => undefined; } }, () => {
      tries++;
      if (now < 3_600_000) return r.failed();
      handedIn = now;
      r.reset();
    });
    r.failed();
    for (let next = later.shift(); next !== undefined; next = later.shift()) {
      now = next.at;
      next.run();
    }
    expect(handedIn).toBeGreaterThanOrEqual(3_600_000);
    expect(handedIn).toBeLessThanOrEqual(3_660_000);
    expect(tries).toBeGreaterThan(60);
  });
  it('begins short again after a success, and one try is under way at most', () => {
    const c = clock();
    const r = new Retry(c, () => undefined);
    r.failed();
    r.failed();
    r.reset();
    expect(c.idle()).toBe(true);
    r.failed();
    expect(c.waits.at(-1)).toBe(firstWait);
  });
  it('fifty phones do not come back in step', () => {
    const waits = new Set<number>();
    for (let i = 0; i < 50; i++) {
      const c = clock(() => i / 50);
      new Retry(c, () => undefined).failed();
      waits.add(c.waits[0] ?? 0);
    }
    expect(waits.size).toBe(50);
  });
});
