import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { heldBack, megabytes, roomFor } from '../app/room';
import { dropSentCopies, sentCopies } from './copies';
import { Db, type StoredPhoto } from './db';

let db: Db;

beforeEach(() => {
  db?.drop();
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
});

function photo(n: number, more: Partial<StoredPhoto> = {}): StoredPhoto {
  const bytes = new Uint8Array(1000 + n).map((_, i) => (i * 31 + n) % 256).buffer as ArrayBuffer;
  return { sha: `sha-${n}`, job: 'j', type: 'image/jpeg', bytes, ...more };
}

const put = (...rows: StoredPhoto[]) => db.write(['photos'], async (tx) => { for (const p of rows) await tx.objectStore('photos').put(p); });
const all = () => db.read('photos', (photos) => photos.getAll());

describe('room on the phone (T8)', () => {
  it('is short when a photo would leave too little for readings', async () => {
    const at = (quota?: number, usage?: number) => roomFor(5_000_000, async () => ({ quota, usage }));
    expect((await at(1e9, 0)).short).toBe(false);
    expect(await at(100_000_000, 100_000_000 - heldBack)).toEqual({ short: true, free: heldBack });
    expect((await at(100_000_000, 100_000_000 - heldBack - 5_000_000)).short).toBe(false);
    expect(await at(10, 20)).toEqual({ short: true, free: 0 });
  });
  it('is not refused by a browser that does not say', async () => {
    expect((await roomFor(5, async () => ({}))).short).toBe(false);
    expect((await roomFor(5, () => Promise.reject(new Error('no')))).short).toBe(false);
  });
  it('five sent and five unsent: the offer taken, the five unsent remain bit for bit', async () => {
    const sent = [0, 1, 2, 3, 4].map((n) => photo(n));
    const unsent = [5, 6, 7, 8, 9].map((n) => photo(n, { waits: 1 }));
    await put(...sent, ...unsent);
    const bytes = sent.reduce((n, p) => n + p.bytes.byteLength, 0);
    expect(await sentCopies(db)).toEqual({ count: 5, bytes });
    expect(await dropSentCopies(db)).toEqual({ count: 5, bytes });
    const left = await all();
    expect(left.map((p) => p.sha)).toEqual(unsent.map((p) => p.sha));
    for (const [i, p] of left.entries()) expect(new Uint8Array(p.bytes)).toEqual(new Uint8Array(unsent[i]?.bytes ?? new ArrayBuffer(0)));
    expect((await db.waitingPhotos()).length).toBe(5);
    expect(await sentCopies(db)).toEqual({ count: 0, bytes: 0 });
  });
  it('never drops what the office refused, nor a voice note', async () => {
    await put(photo(1, { waits: 1, refused: 'cut off' }), photo(2, { type: 'audio/webm' }));
    expect(await dropSentCopies(db)).toEqual({ count: 0, bytes: 0 });
    expect((await all()).length).toBe(2);
  });
  it('is said in megabytes', () => {
    expect([megabytes(400_000), megabytes(20_971_520)]).toEqual(['under 1 MB', '21 MB']);
  });
});
