// Photos that the office has. Their bytes may be dropped here when the phone is
// short of room, and are fetched again from the office. What only this phone
// has is never touched (T8).
import type { Db, StoredPhoto } from './db';

export interface Copies { count: number; bytes: number }

const isCopy = (p: StoredPhoto | undefined): p is StoredPhoto => p !== undefined && p.waits === undefined && p.type.startsWith('image/');

/** How many there are and what they take. */
export async function sentCopies(db: Db): Promise<Copies> {
  const all = { count: 0, bytes: 0 };
  for (const sha of await db.read('photos', (photos) => photos.getAllKeys())) {
    const p = await db.read('photos', (photos) => photos.get(sha)); // one at a time: they are large
    if (!isCopy(p)) continue;
    all.count++;
    all.bytes += p.bytes.byteLength;
  }
  return all;
}

/** Drops them. Each is looked at again in the transaction that drops it. */
export async function dropSentCopies(db: Db): Promise<Copies> {
  const gone = { count: 0, bytes: 0 };
  for (const sha of await db.read('photos', (photos) => photos.getAllKeys())) {
    await db.write(['photos'], async (tx) => {
      const p = await tx.objectStore('photos').get(sha);
      if (!isCopy(p)) return;
      await tx.objectStore('photos').delete(sha);
      gone.count++;
      gone.bytes += p.bytes.byteLength;
    });
  }
  return gone;
}
