// What only this phone has never goes with the store (T52).
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { openDB } from 'idb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db, dbName } from './db';
import { erase, onlyHere } from './wipe';

let db: Db;

beforeEach(async () => {
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
  await db.write(['entries', 'photos'], async (tx) => {
    const entries = tx.objectStore('entries');
    await entries.put({ id: 'sent', job: 'a', log: 'l', seq: 1, raw: '{}' });
    await entries.put({ id: 'waits', job: 'a', log: 'l', seq: 2, raw: '{}', waits: 1 });
    await entries.put({ id: 'of another job', job: 'b', log: 'm', seq: 1, raw: '{}', waits: 1 });
    await tx.objectStore('photos').put({ sha: 'photo', job: 'a', type: 'image/jpeg', bytes: new ArrayBuffer(1), waits: 1 });
    await tx.objectStore('photos').put({ sha: 'refused', job: 'a', type: 'image/jpeg', bytes: new ArrayBuffer(1), refused: 'no' });
  });
});

const there = async () => (await indexedDB.databases()).some((d) => d.name === dbName);

describe('taking a phone out (T52)', () => {
  it('knows all that waits: entries of every job, and photos', async () => {
    expect((await onlyHere(db)).sort()).toEqual(['of another job', 'photo', 'waits']);
  });
  it('removes nothing while something is only here', async () => {
    await expect(erase(db, new Set(['waits', 'photo']))).rejects.toThrow('1 is only on this phone');
    expect(await db.countWaiting('b')).toBe(1);
  });
  it('holds the store by one connection, however many ask for it at once, so that it can go', async () => {
    let opened = 0;
    const fresh = new Db(undefined, (...args) => (opened++, openDB(...args)));
    await Promise.all([fresh.countWaiting('a'), fresh.countWaiting('b'), fresh.meta('job')]);
    expect(opened).toBe(1);
    db.drop();
    await erase(fresh, new Set(['waits', 'photo', 'of another job']));
    expect(await there()).toBe(false);
  }, 5000);
  it('comes to rest with everything that was under way on the disk, and nothing begins after it', async () => {
    const order: string[] = [];
    const write = db.setMeta('last', 'under way').then(() => order.push('written'));
    await db.rest().then(() => order.push('at rest'));
    await write;
    expect(order).toEqual(['written', 'at rest']);
    const asked: string[] = [];
    void db.meta('last').finally(() => asked.push('answered'));
    expect(await new Db().meta('last')).toBe('under way');
    expect(asked).toEqual([]);
  });
  it('removes everything when all of it has been saved as a file, and makes no store anew', async () => {
    await erase(db, new Set(['waits', 'photo', 'of another job']));
    expect(await there()).toBe(false);
    await expect(db.open()).rejects.toThrow();
    expect(await there()).toBe(false);
  });
});
