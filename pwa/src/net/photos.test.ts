import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db } from '../log/db';
import { Office } from './office';
import { photoBytes, sendPhotos } from './photos';
import { NotOffice } from './wire';

/** An office's blob routes in a few lines; it refuses some names for good. */
class FakeBlobs {
  readonly have = new Map<string, number[]>();
  readonly whole = new Set<string>();
  patches = 0;
  constructor(readonly refuses: string[] = []) {}

  fetch = async (path: string, init: RequestInit): Promise<Response> => {
    if (path === '/api/v1/token') return Response.json({ token: 't' });
    const sha = path.split('/').at(-1)?.split('?')[0] ?? '';
    const known = this.have.get(sha);
    if (init.method === 'HEAD') {
      if (known !== undefined && this.refuses.includes(sha)) return new Response(null, { status: 422 });
      return new Response(null, { headers: { 'Upload-Offset': String(known?.length ?? 0), 'Upload-Complete': this.whole.has(sha) ? '?1' : '?0' } });
    }
    if (init.method === 'GET') return this.whole.has(sha) ? new Response('view', { headers: { 'Content-Type': 'image/jpeg' } }) : new Response(null, { status: 404 });
    return this.patch(sha, init, known ?? []);
  };

  private patch(sha: string, init: RequestInit, known: number[]): Response {
    this.patches++;
    const now = [...known, ...new Uint8Array(init.body as ArrayBuffer)];
    this.have.set(sha, now);
    if (this.refuses.includes(sha)) return Response.json({ error: { code: 'invalid', says: 'the voice note is cut off before its first sound: send it again' } }, { status: 422 });
    if (now.length === Number((init.headers as Record<string, string>)['Upload-Length'])) this.whole.add(sha);
    return new Response(null, { status: 204 });
  }
}

let db: Db;

beforeEach(() => {
  db?.drop();
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
});

const wait = (...shas: string[]) => db.write(['photos'], async (tx) => {
  for (const sha of shas) await tx.objectStore('photos').put({ sha, job: 'j', type: 'audio/webm', bytes: new Uint8Array([1, 2, 3]).buffer as ArrayBuffer, waits: 1 });
});

describe('photos and voice notes on their way', () => {
  it('one that the office refuses holds up none of the others, stays here, and is not sent for ever', async () => {
    const blobs = new FakeBlobs(['b']);
    const office = new Office(blobs.fetch);
    await wait('a', 'b', 'c');
    expect(await sendPhotos(db, office)).toContain('cut off');
    expect([...blobs.whole].sort()).toEqual(['a', 'c']);
    expect(await db.waitingPhotos()).toEqual(['b']);
    const before = blobs.patches;
    expect(await sendPhotos(db, office)).toContain('cut off');
    expect(blobs.patches).toBe(before);
    expect((await db.read('photos', (photos) => photos.get('b')))?.bytes.byteLength).toBe(3);
  });
  it('one that was refused before this phone heard why is asked about once more', async () => {
    const blobs = new FakeBlobs(['b']);
    blobs.have.set('b', [1, 2, 3]);
    await wait('b');
    expect(await sendPhotos(db, new Office(blobs.fetch))).toContain('cut off');
  });
  it('a copy that was dropped here is fetched again', async () => {
    const blobs = new FakeBlobs();
    const office = new Office(blobs.fetch);
    await wait('a');
    expect(await sendPhotos(db, office)).toBe('');
    await db.write(['photos'], async (tx) => tx.objectStore('photos').delete('a'));
    expect((await photoBytes(db, office, 'a'))?.type).toBe('image/jpeg');
    expect(await photoBytes(db, office, 'never')).toBeUndefined();
  });
  it("another network's page, with status 200, is neither where an upload stands nor a picture (T17)", async () => {
    const welcome = () => new Response('<html>welcome</html>', { headers: { 'Content-Type': 'text/html' } });
    const office = new Office(async (path, init) => (path === '/api/v1/token' ? Response.json({ token: 't' }) : init.method === 'HEAD' ? new Response(null, welcome()) : welcome()));
    await wait('a');
    await expect(sendPhotos(db, office)).rejects.toBeInstanceOf(NotOffice);
    expect(await db.waitingPhotos()).toEqual(['a']);
    expect(await photoBytes(db, office, 'other')).toBeUndefined();
  });
});
