// A store that is lost on seeded calls, taken by another version, or cleared
// (T6, T7, T42, T44): 100 captures are 100 entries, each once.
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { openDB } from 'idb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db, dbName, NewerStore, waitingLines, type Opener, type Store, type StoreNews } from './db';
import { DeviceLog } from './log';

const job = 'a'.repeat(32);
let drawn = 0;
const means = {
  compose: (j: string, d: Record<string, unknown>) => ({ id: `id-${d['log']}-${d['seq']}`, raw: JSON.stringify({ job: j, ...d }) }),
  now: () => new Date('2031-04-12T10:00:00Z'),
  random: () => String(++drawn).padStart(32, '0'),
};
const writer = { person: 'idris', name: 'P2', workshop: false };

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
});

/** A small generator with a seed (mulberry32): the same losses in every run. */
function seeded(seed: number): () => number {
  let a = seed;
  return () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

type Loss = 'none' | 'at once' | 'half way' | 'after it was complete' | 'closed';

class Lossy {
  readonly seen = new Map<Loss, number>();
  opened = 0;
  constructor(private readonly next: () => Loss) {}

  readonly open = (async (name: string, version: number, callbacks: Parameters<Opener>[2]) => {
    this.opened++;
    const db = await openDB(name, version, callbacks as never);
    return new Proxy(db, {
      get: (target, prop) => {
        if (prop === 'transaction') return (...args: [never, never, never]) => this.transaction(target as unknown as Store, args, callbacks);
        const value: unknown = Reflect.get(target, prop, target);
        return typeof value === 'function' ? value.bind(target) : value;
      },
    });
  }) as unknown as Opener;

  private transaction(db: Store, args: [never, never, never], callbacks: Parameters<Opener>[2]): unknown {
    const loss = this.next();
    this.seen.set(loss, (this.seen.get(loss) ?? 0) + 1);
    if (loss === 'at once') throw new DOMException('the connection is closing', 'InvalidStateError');
    if (loss === 'closed') {
      db.close();
      callbacks?.terminated?.();
      throw new DOMException('closed', 'InvalidStateError');
    }
    const tx = db.transaction(...args);
    if (loss === 'none') return tx;
    const serverLost = new DOMException('Connection to Indexed Database server lost', 'UnknownError');
    return new Proxy(tx, {
      get: (target, prop) => {
        if (prop === 'objectStore' && loss === 'half way') {
          return (name: 'entries') => {
            if ((name as string) === 'photos' || (name as string) === 'entries') {
              target.abort();
              target.done.catch(() => undefined);
              throw serverLost;
            }
            return target.objectStore(name as never);
          };
        }
        if (prop === 'done' && loss === 'after it was complete') return target.done.then(() => Promise.reject(serverLost));
        const value: unknown = Reflect.get(target, prop, target);
        return typeof value === 'function' ? value.bind(target) : value;
      },
    });
  }
}

async function captures(log: DeviceLog, n: number): Promise<number> {
  let told = 0;
  for (let i = 0; i < n; i++) {
    // What a person does when told that it was not saved: keep it once more.
    for (let tries = 0; ; tries++) {
      try {
        await log.keep({ kind: 'note', body: { text: `note ${i}` } }, writer);
        break;
      } catch (e) {
        told++;
        expect((e as Error).message).toMatch(/it counts once/);
        if (tries > 20) throw e;
      }
    }
  }
  return told;
}

const rows = async () => {
  const db = await openDB(dbName);
  const all = (await db.getAll('entries')) as { id: string; seq: number; log: string; raw: string }[];
  db.close();
  return all.sort((a, b) => a.seq - b.seq);
};

describe('a connection that is lost', () => {
  for (const seed of [1, 2, 3, 4, 5]) {
    it(`on seeded calls (${seed}): 100 captures, 100 entries, each once (T7)`, async () => {
      const draw = seeded(seed);
      const losses: Loss[] = ['at once', 'half way', 'after it was complete', 'closed'];
      const lossy = new Lossy(() => (draw() < 0.4 ? (losses[Math.floor(draw() * losses.length)] as Loss) : 'none'));
      const log = new DeviceLog(new Db(undefined, lossy.open), job, means);
      await captures(log, 100);
      const all = await rows();
      const texts = all.slice(1).map((e) => (JSON.parse(e.raw) as { body: { text: string } }).body.text);
      expect(texts).toEqual(Array.from({ length: 100 }, (_, i) => `note ${i}`));
      expect(all.map((e) => e.seq)).toEqual(Array.from({ length: 101 }, (_, i) => i + 1));
      expect(new Set(all.map((e) => e.log)).size).toBe(1);
      for (const loss of losses) expect(lossy.seen.get(loss) ?? 0).toBeGreaterThan(0);
      expect(lossy.opened).toBeGreaterThan(1);
    });
  }
  it('twice running is told, and nothing is there', async () => {
    const plan: Loss[] = ['none', 'at once', 'half way']; // first it looks where the log has got to
    const lossy = new Lossy(() => plan.shift() ?? 'none');
    const log = new DeviceLog(new Db(undefined, lossy.open), job, means);
    await expect(log.keep({ kind: 'note', body: { text: 'x' } }, writer)).rejects.toThrow('it counts once');
    expect(await rows()).toEqual([]);
    await log.keep({ kind: 'note', body: { text: 'x' } }, writer);
    expect((await rows()).length).toBe(2);
  });
  it('what stayed without a word is kept once, and a draft filled in again meanwhile ends with it (T3, T7)', async () => {
    const draft = new Db();
    const save = () => draft.write(['drafts'], async (tx) => void (await tx.objectStore('drafts').put('x', 'form')));
    const plan: Loss[] = ['none', 'after it was complete', 'at once', 'none', 'at once', 'at once'];
    const lossy = new Lossy(() => plan.shift() ?? 'none');
    const log = new DeviceLog(new Db(undefined, lossy.open), job, means);
    const keep = () => log.keep({ kind: 'note', body: { text: 'x' } }, writer, undefined, ['form']);
    await save();
    await expect(keep()).rejects.toThrow('it counts once');
    await save();
    await expect(keep()).rejects.toThrow(); // and once more, when only the draft was to go
    await keep();
    expect((await rows()).length).toBe(2);
    expect(await draft.read('drafts', (drafts) => drafts.get('form'))).toBeUndefined();
  });
});

it('one transaction at a time is open, each to its end: WebKit never ends one that waits when its worker is gone', async () => {
  let open = 0;
  const most: number[] = [];
  const counting = (async (name: string, version: number, callbacks: Parameters<Opener>[2]) => {
    const db = await openDB(name, version, callbacks as never);
    const transaction = (...args: [never, never, never]) => {
      const tx = (db as unknown as Store).transaction(...args);
      most.push(++open);
      const ended = () => void open--;
      for (const how of ['complete', 'abort'] as const) tx.addEventListener(how, ended);
      return tx;
    };
    return new Proxy(db, { get: (target, prop) => (prop === 'transaction' ? transaction : Reflect.get(target, prop, target)) });
  }) as unknown as Opener;
  const db = new Db(undefined, counting);
  const log = new DeviceLog(db, job, means);
  const failing = db.write(['meta'], () => Promise.reject(new Error('no'))).catch(() => 'failed');
  // Its answer is still on its way when it gives up: the transaction is open until then.
  const givingUp = db.read('entries', (entries) => (void entries.getAll().catch(() => undefined), Promise.reject(new Error('no')))).catch(() => 'gave up');
  await Promise.all([failing, givingUp, captures(log, 3), db.setMeta('a', 1), db.meta('a'), db.waitingByJob(), db.waitingPhotos(), db.setMeta('b', 2), db.eachEntry(job, () => undefined)]);
  expect(new Set(most)).toEqual(new Set([1]));
  expect(most.length).toBeGreaterThan(10);
});

describe('another version of the app', () => {
  it('is let through by an old tab, which says so and stays away (T42)', async () => {
    const news: StoreNews[] = [];
    const old = new Db((n) => news.push(n));
    await old.setMeta('job', job);
    const newer = await openDB(dbName, 2);
    expect(news).toEqual(['fresh', 'let go']);
    await expect(old.setMeta('job', 'x')).rejects.toThrow('close this window');
    expect(await newer.get('meta', 'job')).toBe(job);
    newer.close();
  });
  it('that waits for an old tab says so and then goes on (T42)', async () => {
    await new Db().setMeta('job', job);
    const stubborn = await openDB(dbName, 1);
    const news: StoreNews[] = [];
    const blocked = new Promise<void>((resolve) => {
      const db = new Db((n) => { news.push(n); resolve(); }, undefined, 2);
      void db.meta('job').then((got) => news.push(got as StoreNews));
    });
    await blocked;
    expect(news).toEqual(['blocked']);
    stubborn.close();
    while (news.length < 2) await new Promise((resolve) => setImmediate(resolve));
    expect(news[1]).toBe(job);
  });
  it('was newer: this one explains, deletes nothing and gives what waits (T44)', async () => {
    const now = new Db();
    const log = new DeviceLog(now, job, means);
    await log.keep({ kind: 'note', body: { text: 'one' } }, writer);
    now.drop();
    (await openDB(dbName, 2)).close();
    await expect(new Db().meta('job')).rejects.toThrow(NewerStore);
    const lines = (await waitingLines()).trimEnd().split('\n');
    expect(lines.map((l) => (JSON.parse(l) as { seq: number }).seq)).toEqual([1, 2]);
    expect((await rows()).length).toBe(2);
  });
});

describe('a store that the phone cleared', () => {
  it('is made anew with another log, and it is told (T6)', async () => {
    const news: StoreNews[] = [];
    const db = new Db((n) => news.push(n));
    const log = new DeviceLog(db, job, means);
    await log.keep({ kind: 'note', body: { text: 'one' } }, writer);
    const before = (await log.head())?.log;
    const gone = indexedDB.deleteDatabase(dbName);
    await new Promise((resolve) => (gone.onsuccess = resolve));
    await log.keep({ kind: 'note', body: { text: 'two' } }, writer);
    expect(news).toEqual(['fresh', 'fresh']);
    expect((await log.head())?.log).not.toBe(before);
  });
});
