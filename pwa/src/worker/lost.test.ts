// A phone whose store was cleared takes up what the office knows (T6).
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db } from '../log/db';
import { DeviceLog } from '../log/log';
import { Office } from '../net/office';
import { askOffice, lostOf, takeUp, type Known } from './lost';

const [jobA, jobB] = ['a'.repeat(32), 'b'.repeat(32)];
const known: Known = {
  device: 'd', name: 'P2', role: 'fitter', workspace: 'w', server: 's', jobs: [{ job: jobA, title: 'A' }, { job: jobB, title: 'B' }],
  logs: [
    { job: jobA, log: 'old', seq: 3, id: 'old-3', at: '2031-04-01T09:00:00Z' }, { job: jobB, log: 'other', seq: 2, id: 'other-2', at: '2031-04-02T09:00:00Z' },
    { job: jobA, log: 'newer', seq: 6, id: 'newer-6', at: '2031-04-12T09:22:33Z' },
  ],
};
let drawn = 0;
const random = () => `new-${++drawn}`;
const means = {
  compose: (j: string, d: Record<string, unknown>) => ({ id: `${d['log']}-${d['seq']}`, raw: JSON.stringify({ job: j, ...d }) }),
  now: () => new Date('2031-04-12T10:00:00Z'), random,
};
const writer = { person: 'idris', name: 'P2', workshop: false };

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
});

describe('a cleared phone', () => {
  it('is told how many the office holds, and since when the rest is gone', () => {
    expect(lostOf(known)).toEqual({ name: 'P2', entries: 11, since: '2031-04-12T09:22:33Z' });
    expect(lostOf({ ...known, logs: [] })).toEqual({ name: 'P2', entries: 0, since: '' });
  });
  it('begins a new log in each job, which names the one that was written last', async () => {
    const db = new Db();
    expect(await takeUp(db, known, true, random)).toBe(jobA);
    const made = await new DeviceLog(db, jobA, means).keep({ kind: 'note', body: {} }, writer);
    expect(made.map((e) => [e.log.startsWith('new-'), e.seq])).toEqual([[true, 1], [true, 2]]);
    expect((JSON.parse(made[0]?.raw ?? '') as { body: { continues: string } }).body.continues).toBe('newer-6');
    expect(await db.meta('device')).toEqual({ device: 'd', workspace: 'w', server: 's', role: 'fitter', name: 'P2', workshop: true });
  });
  it('keeps a log that it has begun since', async () => {
    const db = new Db();
    const log = new DeviceLog(db, jobA, means);
    await log.keep({ kind: 'note', body: {} }, writer);
    const begun = await log.head();
    await takeUp(db, known, false, random);
    expect(await log.head()).toEqual(begun);
  });
  it('asks, and takes only an answer of the office', async () => {
    const office = (reply: (path: string) => Response) => new Office(async (path) => reply(path), () => new AbortController().signal);
    const json = (v: unknown, status = 200) => new Response(JSON.stringify(v), { status });
    expect(await askOffice(office((p) => json(p.endsWith('token') ? { token: 't' } : known)))).toEqual(known);
    expect(await askOffice(office(() => json({ error: { code: 'unauthorized', says: 'no' } }, 401)))).toBeUndefined();
    expect(await askOffice(office((p) => (p.endsWith('token') ? json({ token: 't' }) : new Response('<html>'))))).toBeUndefined();
    expect(await askOffice(office(() => { throw new TypeError('offline'); }))).toBeUndefined();
  });
});
