import { createHash } from 'node:crypto';
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db } from './db';
import { DeviceLog, type Draft } from './log';

const job = 'a'.repeat(32);
let made = 0;
let fail = false;

const means = {
  compose(j: string, d: Record<string, unknown>) {
    if (fail) throw new Error('a reading needs the place where it was taken');
    const raw = JSON.stringify({ job: j, ...d });
    return { id: `${createHash('sha256').update(raw).digest('hex')}-${d['seq']}`, raw }; // the number at its end only for these tests
  },
  now: () => new Date('2031-04-12T10:00:00Z'),
  random: () => String(++made).padStart(32, '0'),
};
const writer = { person: 'idris', name: 'P2', workshop: false };
const note = (text: string): Draft => ({ kind: 'note', body: { text } });

let db: Db;

beforeEach(() => {
  fail = false;
  db?.drop();
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
});

const rows = async () => (await (await db.open()).getAll('entries')).map((e) => JSON.parse(e.raw) as { seq: number; prev: string; kind: string; by: string; body: Record<string, string> }).sort((a, b) => a.seq - b.seq);

describe('the device log', () => {
  it('opens itself with the first entry and chains what follows', async () => {
    const log = new DeviceLog(db, job, means);
    await log.keep(note('one'), writer);
    await log.keep(note('two'), writer);
    const got = await rows();
    expect(got.map((e) => [e.seq, e.kind])).toEqual([[1, 'log'], [2, 'note'], [3, 'note']]);
    expect(got[0]?.body).toEqual({ device: 'own', name: 'P2', of: 'idris' });
    expect(got[1]?.prev).toMatch(/-1$/);
    expect(got[2]?.prev).toMatch(/-2$/);
    expect(await db.countWaiting(job)).toBe(3);
  });
  it('keeps nothing that the core refuses', async () => {
    const log = new DeviceLog(db, job, means);
    fail = true;
    await expect(log.keep(note('x'), writer)).rejects.toThrow('needs the place');
    expect(await rows()).toEqual([]);
    expect(await log.head()).toBeUndefined();
  });
  it('a transaction that aborts saves neither entry nor head (T1)', async () => {
    const log = new DeviceLog(db, job, means);
    await log.keep(note('one'), writer);
    const before = await log.head();
    const broken = new DeviceLog(db, job, { ...means, compose: () => ({ id: before?.prev ?? '', raw: '{}' }) });
    await expect(broken.keep(note('two'), writer)).rejects.toThrow();
    expect(await log.head()).toEqual(before);
    expect((await rows()).length).toBe(2);
  });
  it('a full phone says so, and nothing was saved (T1)', async () => {
    const log = new DeviceLog(db, job, means);
    await log.keep(note('one'), writer);
    const before = await log.head();
    const add = IDBObjectStore.prototype.add;
    IDBObjectStore.prototype.add = function full() { throw new DOMException('no room', 'QuotaExceededError'); };
    await expect(log.keep(note('two'), writer)).rejects.toThrow('this phone is full, so nothing was saved');
    IDBObjectStore.prototype.add = add;
    expect(await log.head()).toEqual(before);
    await log.keep(note('two'), writer);
    expect((await rows()).length).toBe(3);
  });
  it('nothing counts as kept before its transaction has completed (T1, T2)', async () => {
    let complete = () => undefined as void;
    let written: Promise<unknown> = Promise.resolve();
    db.drop();
    db = new (class extends Db {
      override write<T>(...args: Parameters<typeof Db.prototype.write<T>>): Promise<T> {
        const done = super.write<T>(...args);
        written = done;
        return done.then((out) => new Promise((resolve) => (complete = () => resolve(out))));
      }
    })();
    let kept = false;
    const keeping = new DeviceLog(db, job, means).keep(note('one'), writer).then(() => (kept = true));
    while ((await rows()).length < 2) await written;
    await written;
    await new Promise((resolve) => setImmediate(resolve));
    expect(kept).toBe(false);
    complete();
    await keeping;
  });
  it('two writers at once never give one number twice', async () => {
    const log = new DeviceLog(db, job, means);
    await log.keep(note('one'), writer);
    const others = [new DeviceLog(db, job, means), new DeviceLog(db, job, means)];
    const all = await Promise.allSettled([log, ...others].map((l, i) => l.keep(note(`at once ${i}`), writer)));
    const kept = all.filter((r) => r.status === 'fulfilled').length;
    expect(kept).toBeGreaterThan(0);
    expect((await rows()).map((e) => e.seq)).toEqual(Array.from({ length: 2 + kept }, (_, i) => i + 1));
  });
  it('goes on in a log that was begun meanwhile', async () => {
    const log = new DeviceLog(db, job, means);
    await log.keep(note('one'), writer);
    await db.write(['meta'], async (tx) => new DeviceLog(db, job, means).renew(tx, 'branch'));
    await log.keep(note('two'), writer);
    expect((await rows()).map((e) => [e.seq, e.kind])).toEqual([[1, 'log'], [1, 'log'], [2, 'note'], [2, 'note']]);
  });
  it('the photo is in the entry\'s own transaction (T33)', async () => {
    const log = new DeviceLog(db, job, means);
    const keep = () => log.keep({ kind: 'photo', body: {} }, writer, { sha: 'ab', type: 'image/jpeg', bytes: new ArrayBuffer(4) });
    const { add, put } = IDBObjectStore.prototype;
    const full = () => { throw new DOMException('no room', 'QuotaExceededError'); };
    IDBObjectStore.prototype.add = full;
    await expect(keep()).rejects.toThrow('nothing was saved');
    IDBObjectStore.prototype.add = add;
    IDBObjectStore.prototype.put = function cut(this: IDBObjectStore, ...args: [unknown, IDBValidKey?]) {
      const asked = put.apply(this, args);
      if (this.name === 'photos') this.transaction.abort();
      return asked;
    };
    await expect(keep()).rejects.toThrow('it counts once');
    IDBObjectStore.prototype.put = put;
    expect([await rows(), await db.waitingPhotos(), await log.head()]).toEqual([[], [], undefined]);
    await keep();
    expect(await db.waitingPhotos()).toEqual(['ab']);
    expect((await db.read('photos', (photos) => photos.get('ab')))?.bytes).toBeInstanceOf(ArrayBuffer);
  });
  it('drafts that it finishes go in the same transaction, or not at all (T3)', async () => {
    const log = new DeviceLog(db, job, means);
    await db.write(['drafts'], async (tx) => void (await tx.objectStore('drafts').put('half', 'voice')));
    const left = () => db.read('drafts', (drafts) => drafts.get('voice'));
    fail = true;
    await expect(log.keep(note('x'), writer, undefined, ['voice'])).rejects.toThrow();
    expect(await left()).toBe('half');
    fail = false;
    await log.keep(note('x'), writer, undefined, ['voice']);
    expect(await left()).toBeUndefined();
  });
  it('a lost connection is opened again and the write goes on (T7)', async () => {
    const log = new DeviceLog(db, job, means);
    await log.keep(note('one'), writer);
    (await db.open()).close();
    await log.keep(note('two'), writer);
    expect((await rows()).length).toBe(3);
  });
});
