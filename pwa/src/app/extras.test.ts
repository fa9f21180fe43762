// Each extra once absent and once throwing: nothing may rest on one (T64, T4).
import { describe, expect, it } from 'vitest';
import { askToKeep, buzz, isKept, stayAwake, type Page, type Phone } from './extras';

class FakePage implements Page {
  visibilityState = 'visible';
  private readonly runs = new Set<() => void>();
  addEventListener(_: 'visibilitychange', run: () => void): void {
    this.runs.add(run);
  }
  removeEventListener(_: 'visibilitychange', run: () => void): void {
    this.runs.delete(run);
  }
  turn(state: string): void {
    this.visibilityState = state;
    for (const run of this.runs) run();
  }
  get listeners(): number {
    return this.runs.size;
  }
}

/** A wake lock that counts; the browser lets it go by itself when the page is hidden. */
class Locks {
  asked = 0;
  held = 0;
  request = async () => {
    this.asked++;
    this.held++;
    return { release: async () => void this.held-- };
  };
}

const settled = () => new Promise<void>((resolve) => setImmediate(resolve));
const thrower = () => { throw new DOMException('no', 'NotAllowedError'); };

describe('the wake lock', () => {
  it('is held while a pad is open and taken again when the page is seen again', async () => {
    const [page, wakeLock] = [new FakePage(), new Locks()];
    const release = stayAwake({ wakeLock }, page);
    await settled();
    expect([wakeLock.asked, wakeLock.held]).toEqual([1, 1]);
    wakeLock.held = 0; // taken away with the page
    page.turn('hidden');
    await settled();
    expect(wakeLock.asked).toBe(1);
    page.turn('visible');
    await settled();
    expect([wakeLock.asked, wakeLock.held]).toEqual([2, 1]);
    release();
    await settled();
    expect([wakeLock.held, page.listeners]).toEqual([0, 0]);
  });
  it('is let go at once when it comes after the pad was closed', async () => {
    const wakeLock = new Locks();
    stayAwake({ wakeLock }, new FakePage())();
    await settled();
    expect(wakeLock.held).toBe(0);
  });
});

const phones: [string, Phone][] = [
  ['absent', {}], ['half there', { storage: {} }],
  ['throwing', { wakeLock: { request: thrower }, vibrate: thrower, storage: { persist: thrower, persisted: thrower } }],
  ['refusing', {
    wakeLock: { request: () => Promise.reject(new Error('no')) }, vibrate: () => false,
    storage: { persist: () => Promise.reject(new Error('no')), persisted: () => Promise.reject(new Error('no')) },
  }],
];

describe('a phone whose extras are', () => {
  for (const [name, phone] of phones) {
    it(`${name} works as before`, async () => {
      const page = new FakePage();
      const release = stayAwake(phone, page);
      page.turn('visible');
      await settled();
      release();
      expect(page.listeners).toBe(0);
      expect(() => buzz(phone)).not.toThrow();
      expect(await isKept(phone)).toBeUndefined();
      expect(await askToKeep(phone)).toBeUndefined();
    });
  }
  it('there answers as the browser does', async () => {
    let shaken = 0;
    const phone: Phone = { vibrate: (ms) => (shaken = ms) > 0, storage: { persist: async () => true, persisted: async () => false } };
    buzz(phone);
    expect([shaken > 0, await askToKeep(phone), await isKept(phone)]).toEqual([true, true, false]);
  });
});
