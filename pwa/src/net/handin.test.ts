import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db } from '../log/db';
import { handInType, hex, saveUnsent, takeIn } from './handin';
import { Office } from './office';

const job = 'a'.repeat(32);
const whose = { workspace: 'w', device: 'd', name: 'Idris, phone' };
let db: Db;

beforeEach(async () => {
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
  await db.write(['entries'], async (tx) => {
    for (const [seq, waits] of [[1, false], [2, true], [3, true]] as const) {
      await tx.objectStore('entries').add({ id: `e${seq}`, job, log: 'l', seq, raw: `{"seq":${seq},"text":"1/64 in, 20 °C"}`, ...(waits ? { waits: 1 as const } : {}) });
    }
  });
});

describe('the hand-in file', () => {
  it('holds what waits, in order, with a check sum over its bytes, and marks nothing as sent', async () => {
    const got = await saveUnsent(db, job, 'l', whose, new Date('2031-04-12T10:00:00Z'));
    expect(got.file).toBe('hand-in-Idris-phone-2031-04-12.ndjson');
    const [first, rest] = [got.text.slice(0, got.text.indexOf('\n')), got.text.slice(got.text.indexOf('\n') + 1)];
    expect(rest).toBe('{"seq":2,"text":"1/64 in, 20 °C"}\n{"seq":3,"text":"1/64 in, 20 °C"}\n');
    const sha256 = hex(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(rest)));
    expect(JSON.parse(first)).toEqual({ witnessmark: 'hand-in', v: 1, ...whose, job, log: 'l', count: 2, sha256 });
    expect(await db.countWaiting(job)).toBe(2);
  });

  it('has a name even for a phone without one', async () => {
    const got = await saveUnsent(db, 'b'.repeat(32), '', { workspace: '', device: '', name: '/../' }, new Date('2031-04-12T10:00:00Z'));
    expect([got.file, got.count]).toEqual(['hand-in-phone-2031-04-12.ndjson', 0]);
  });

  it('goes to the office byte for byte, and a reply of another kind counts for nothing (T17)', async () => {
    const sent: RequestInit[] = [];
    let reply = () => Response.json({ stored: 2, held: 0, bad: [], phone: 'Idris, phone', revoked: '' });
    const office = new Office(async (path, init) => {
      if (path === '/api/v1/token') return Response.json({ token: 't' });
      sent.push(init);
      return reply();
    });
    const bytes = new TextEncoder().encode('any bytes').buffer as ArrayBuffer;
    expect((await takeIn(office, job, bytes)).stored).toBe(2);
    expect(sent[0]?.body).toBe(bytes);
    expect((sent[0]?.headers as Record<string, string>)['Content-Type']).toBe(handInType);
    for (const odd of [() => new Response('<html>'), () => Response.json({}), () => new Response('<html>', { status: 500 })]) {
      reply = odd;
      await expect(takeIn(office, job, bytes)).rejects.toThrow('not the office');
    }
    reply = () => Response.json({ error: { code: 'invalid', says: 'it is not whole' } }, { status: 400 });
    await expect(takeIn(office, job, bytes)).rejects.toThrow('it is not whole');
  });
});
