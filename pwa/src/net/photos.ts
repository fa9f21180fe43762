// Photos go apart, after the readings, by their hash and in pieces; an upload
// goes on from where the office is (T34).
import type { Db } from '../log/db';
import type { Office } from './office';
import { NotOffice, refusal } from './wire';

const chunk = 1 << 20;

export async function sendPhotos(db: Db, office: Office): Promise<void> {
  for (const sha of await db.waitingPhotos()) {
    const photo = await db.read((d) => d.get('photos', sha));
    if (photo === undefined) continue;
    await sendOne(office, sha, photo.bytes);
    await db.write(['photos'], async (tx) => {
      const { waits: _, ...sent } = photo;
      await tx.objectStore('photos').put(sent);
    });
  }
}

/** Sends one photo, from where the office is. */
export async function sendOne(office: Office, sha: string, bytes: ArrayBuffer): Promise<void> {
  for (;;) {
    const at = await office.send(`/api/v1/blobs/${sha}`, { method: 'HEAD' });
    const offset = Number(at.headers.get('Upload-Offset'));
    if (!at.ok || at.headers.get('Upload-Offset') === null || Number.isNaN(offset)) throw new NotOffice();
    if (at.headers.get('Upload-Complete') === '?1') return;
    if (offset >= bytes.byteLength) throw new NotOffice();
    const reply = await office.send(`/api/v1/blobs/${sha}`, {
      method: 'PATCH',
      headers: { 'Content-Type': 'application/octet-stream', 'Upload-Offset': String(offset), 'Upload-Length': String(bytes.byteLength) },
      body: bytes.slice(offset, offset + chunk),
    });
    if (!reply.ok && reply.status !== 409) throw await refusal(reply); // 409: ask again where it is
  }
}

/** A photo's bytes: the own original, or the office's derivative. Undefined when neither can be had now. */
export async function photoBytes(db: Db, office: Office, sha: string): Promise<{ bytes: ArrayBuffer; type: string } | undefined> {
  const own = await db.read((d) => d.get('photos', sha));
  if (own !== undefined) return { bytes: own.bytes, type: own.type };
  try {
    const reply = await office.send(`/api/v1/blobs/${sha}?as=view`, { method: 'GET' });
    if (!reply.ok) return undefined;
    return { bytes: await reply.arrayBuffer(), type: reply.headers.get('Content-Type') ?? 'image/jpeg' };
  } catch {
    return undefined;
  }
}
