// Photos go apart, after the readings, by their hash and in pieces; an upload
// goes on from where the office is (T34).
import type { Db, StoredPhoto } from '../log/db';
import type { Office } from './office';
import { NotOffice, Refused, refusal } from './wire';

const chunk = 1 << 20;

/** Sends what waits. One that the office refuses holds up none of the others; the reason for the last such one is returned. */
export async function sendPhotos(db: Db, office: Office): Promise<string> {
  let refused = '';
  for (const sha of await db.waitingPhotos()) {
    const photo = await db.read('photos', (photos) => photos.get(sha));
    if (photo === undefined) continue;
    const why = photo.refused ?? (await sendOrNote(db, office, photo));
    if (why !== '') refused = why;
  }
  return refused;
}

async function sendOrNote(db: Db, office: Office, photo: StoredPhoto): Promise<string> {
  const { waits: _, ...sent } = photo;
  const why = await sendOne(office, photo.sha, photo.bytes);
  await db.write(['photos'], async (tx) => void (await tx.objectStore('photos').put(why === '' ? sent : { ...photo, refused: why })));
  return why;
}

/** Sends one to its end. Returns why the office does not take these bytes, or nothing. */
export async function sendOne(office: Office, sha: string, bytes: ArrayBuffer): Promise<string> {
  for (;;) {
    const offset = await offsetOf(office, sha, bytes.byteLength);
    if (offset === bytes.byteLength) return '';
    const reply = await office.send(`/api/v1/blobs/${sha}`, {
      method: 'PATCH',
      headers: { 'Content-Type': 'application/octet-stream', 'Upload-Offset': String(offset), 'Upload-Length': String(bytes.byteLength) },
      body: bytes.slice(offset, offset + chunk),
    });
    if (reply.ok || reply.status === 409) continue; // 409: ask again where it is
    const no = await refusal(reply);
    if (no instanceof Refused && no.status === 422) return no.message;
    throw no;
  }
}

/** Where the upload goes on; the whole length when it is done; 0 when the bytes were refused before: sent again, the office says why. */
async function offsetOf(office: Office, sha: string, whole: number): Promise<number> {
  const at = await office.send(`/api/v1/blobs/${sha}`, { method: 'HEAD' });
  if (at.status === 422) return 0;
  const said = at.headers.get('Upload-Offset');
  const offset = Number(said);
  if (!at.ok || said === null || Number.isNaN(offset)) throw new NotOffice();
  if (at.headers.get('Upload-Complete') === '?1') return whole;
  if (offset >= whole) throw new NotOffice();
  return offset;
}

/** A photo's bytes: the own original, or the office's derivative. Undefined when neither can be had now. */
export async function photoBytes(db: Db, office: Office, sha: string): Promise<{ bytes: ArrayBuffer; type: string } | undefined> {
  const own = await db.read('photos', (photos) => photos.get(sha));
  if (own !== undefined) return { bytes: own.bytes, type: own.type };
  try {
    const reply = await office.send(`/api/v1/blobs/${sha}?as=view`, { method: 'GET' });
    const type = reply.headers.get('Content-Type') ?? '';
    if (!reply.ok || !/^(image|audio)\//.test(type)) return undefined; // another network's page is no picture (T17)
    return { bytes: await reply.arrayBuffer(), type };
  } catch {
    return undefined;
  }
}
