// How often the phone's store is written, counted (T65), and what an older
// store becomes (T41).
import 'fake-indexeddb/auto';
import { IDBDatabase as FakeDatabase, IDBFactory } from 'fake-indexeddb';
import { openDB } from 'idb';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Exchange, type Copy } from '../net/exchange';
import { Office } from '../net/office';
import { mediaType, type RequestHead } from '../net/wire';
import { Db, dbName, type StoredEntry } from './db';
import { DeviceLog } from './log';

const job = 'a'.repeat(32);
let drawn = 0;
const random = () => String(++drawn).padStart(32, '0');
const now = () => new Date('2031-04-12T10:00:00Z');
const means = { random, now, compose: (j: string, d: Record<string, unknown>) => ({ id: `id-${d['log']}-${d['seq']}`, raw: JSON.stringify({ job: j, ...d }) }) };

let writes: string[][] = [];
const { transaction } = FakeDatabase.prototype;

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
  FakeDatabase.prototype.transaction = function counted(this: IDBDatabase, stores: string[], mode?: IDBTransactionMode) {
    if (mode === 'readwrite') writes.push([...stores]);
    return transaction.call(this as never, stores, mode);
  } as never;
  writes = [];
});
afterEach(() => {
  FakeDatabase.prototype.transaction = transaction;
});

describe('writes of the store (T65)', () => {
  it('one for a capture, with its photo and the drafts that it ends', async () => {
    const log = new DeviceLog(new Db(), job, means);
    for (let i = 0; i < 3; i++) {
      writes = [];
      await log.keep({ kind: 'photo', body: { i } }, { person: 'idris', name: 'P2', workshop: false }, { sha: `s${i}`, type: 'image/jpeg', bytes: new ArrayBuffer(4) }, ['draft']);
      expect(writes.length).toBe(1);
    }
  });
  it('one for a page of what others wrote, with its cursor', async () => {
    const pages = 10;
    const rows = 200;
    let asked = 0;
    const sizes = new Set<number>();
    const page = (head: RequestHead): Response => {
      sizes.add(head.limit);
      const from = asked++ * rows;
      const lines = Array.from({ length: rows }, (_, i) => JSON.stringify({ log: 'other', seq: from + i + 1 }));
      const pos = from + rows;
      return new Response([JSON.stringify({
        v: 1, server: 's', workspace: 'w', job, status: 'ok', stored: 0, held: 0, bad: [], heads: {}, cursor: { epoch: 'e', pos, digest: '' }, more: asked < pages, count: pages * rows,
        digest: '', time: '',
      }), ...lines, ''].join('\n'), { headers: { 'Content-Type': mediaType } });
    };
    const office = new Office(async (path, init) => (path === '/api/v1/token' ? Response.json({ token: 't' }) : page(JSON.parse(String(init.body)) as RequestHead)));
    const copy: Copy = { add: () => undefined, digest: () => ({ count: 0, digest: '', results: '', core: '' }), heads: () => ({}), idOf: (line) => line };
    const db = new Db();
    await new Exchange(db, job, new DeviceLog(db, job, means), copy, office, { device: 'd', workspace: 'w', server: 's' }, { random, now, app: () => 'test' }).run(() => undefined);
    expect([asked, [...sizes]]).toEqual([pages, [2_000]]); // 20,000 entries are ten requests
    expect(writes.length).toBe(pages);
    expect(new Set(writes.map((w) => w.sort().join()))).toEqual(new Set(['entries,meta']));
    expect(await (await db.open()).count('entries')).toBe(pages * rows);
  });
});

/** The store as each released version made it, written down when it was released: it only grows. */
const released: [number, (db: IDBDatabase) => void][] = [
  [1, (db) => {
    const entries = db.createObjectStore('entries', { keyPath: 'id' });
    entries.createIndex('job', 'job');
    entries.createIndex('waiting', ['job', 'waits']);
    db.createObjectStore('photos', { keyPath: 'sha' }).createIndex('waiting', 'waits');
    db.createObjectStore('meta');
    db.createObjectStore('drafts');
  }],
];

describe.each(released)('a store of version %i (T41)', (version, make) => {
  const kept: StoredEntry[] = [1, 2, 3].map((seq) => ({ id: `id-${seq}`, job, log: 'l', seq, raw: `{"seq":${seq}}`, waits: 1 }));

  async function older(): Promise<void> {
    const db = await openDB(dbName, version, { upgrade: (_db, _old, _new, tx) => make(tx.db as unknown as IDBDatabase) });
    for (const e of kept) await db.put('entries', e);
    await db.put('meta', { log: 'l', seq: 3, prev: 'id-3' }, `log:${job}`);
    db.close();
  }

  it.each([['by this version', undefined], ['by a later one', 99]])('opened %s keeps every entry, what waits, and the head of its log', async (_, at) => {
    await older();
    const db = new Db(() => undefined, openDB, at);
    expect(await (await db.open()).getAll('entries')).toEqual(kept);
    expect(await db.waiting(job, 10)).toEqual(kept);
    expect(await new DeviceLog(db, job, means).head()).toEqual({ log: 'l', seq: 3, prev: 'id-3' });
  });
  it('whose opening is broken off is opened the next time', async () => {
    await older();
    const killed = new Db(() => undefined, (async (name: string, at: number, callbacks: { upgrade?: (...a: never[]) => void }) =>
      openDB(name, at + 1, { ...callbacks, upgrade: (db, old, next, tx, event) => {
        callbacks.upgrade?.(...([db, old, next, tx, event] as never[]));
        void tx.done.catch(() => undefined); // the opening itself says that it failed
        tx.abort();
      } })) as never);
    await expect(killed.open()).rejects.toThrow();
    const db = new Db();
    expect(await (await db.open()).getAll('entries')).toEqual(kept);
  });
});
