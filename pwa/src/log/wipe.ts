// Takes the phone's store away for good, but never with what only this phone
// has (T52).
import { deleteDB } from 'idb';
import { dbName, type Db } from './db';

/** Ids of what waits: entries of every job, and photos. What the office has refused was told, and does not hold the phone for ever. */
export async function onlyHere(db: Db): Promise<string[]> {
  return [...(await db.read('entries', (entries) => entries.index('waiting').getAllKeys())), ...(await db.waitingPhotos())];
}

/** Deletes the store. What has been saved as a file may go with it. */
export async function erase(db: Db, asFile: ReadonlySet<string>): Promise<void> {
  const left = (await onlyHere(db)).filter((id) => !asFile.has(id)).length;
  if (left > 0) throw new Error(`${left === 1 ? '1 is' : `${left} are`} only on this phone: hand in first, or save as a file what waits. Nothing was removed.`);
  db.letGo();
  await deleteDB(dbName);
}
