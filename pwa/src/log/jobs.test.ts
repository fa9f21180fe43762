// What the phone knows of jobs, and what stays with a job when another is taken
// in hand.
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db } from './db';
import { changeJob, learnt, leftThere, noJobs, noStands, offered, readJobs, stood, taken, writeJobs, type Jobs } from './jobs';
import { DeviceLog } from './log';

const [jobA, jobB] = ['a'.repeat(32), 'b'.repeat(32)];
const A = { job: jobA, title: 'Heron' };
const B = { job: jobB, title: 'Trolley' };
const onlyA: Jobs = { ...noJobs, here: [A] };
let db: Db;
let drawn = 0;

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
});

describe('what the office has and this phone has not', () => {
  it('is offered, by its title, and nothing is taken by itself', () => {
    const known = learnt(onlyA, [A, B]);
    expect(known.here).toEqual([A]);
    expect(offered(known)).toEqual([{ ...B, left: false }]);
  });
  it('left at the office it is still known, and can be taken later', () => {
    const left = leftThere(learnt(onlyA, [A, B]), [jobB]);
    expect(offered(left)).toEqual([{ ...B, left: true }]);
    const later = taken(left, jobB);
    expect([later.here, offered(later), later.left]).toEqual([[A, B], [], []]);
  });
  it('a title that the office does not know yet takes none away, and one that it changed is followed', () => {
    const known = learnt({ ...onlyA, office: [B] }, [{ job: jobA, title: '' }, { job: jobB, title: '' }]);
    expect([known.here, offered(known)]).toEqual([[A], [{ ...B, left: false }]]);
    expect(learnt(onlyA, [{ job: jobA, title: 'Heron II' }]).here).toEqual([{ job: jobA, title: 'Heron II' }]);
  });
  it('a job that was begun here and that the office has not got yet stays', () => {
    expect(learnt({ ...onlyA, here: [A, B] }, [A]).here).toEqual([A, B]);
  });
  it('stays known with the office away', async () => {
    const known = leftThere(learnt(onlyA, [A, B]), [jobB]);
    await writeJobs(db, known);
    expect(await readJobs(new Db())).toEqual(known);
  });
  it('of a store from before it could be learnt, every job counts as taken', async () => {
    await db.setMeta('jobs', [A, B]);
    expect(await readJobs(db)).toEqual({ ...noJobs, here: [A, B] });
  });
});

describe('another job in hand', () => {
  const office = { count: 7, offset: 40 };
  const last = '2031-04-12T10:00:00Z';

  async function inHand(): Promise<void> {
    for (const [key, value] of Object.entries({ job: jobA, person: 'idris', last, office })) await db.setMeta(key, value);
    await db.write(['drafts'], async (tx) => {
      await tx.objectStore('drafts').put('74.9', 'note:2117/main.3');
      await tx.objectStore('drafts').put('day', 'sitting');
    });
  }
  const draft = (key: string) => db.read('drafts', (drafts) => drafts.get(key));

  it('has a hand, a day of its last exchange and half filled forms of its own; the other comes back as it was', async () => {
    await inHand();
    expect(await changeJob(db, jobA, jobB)).toEqual(noStands);
    expect([await db.meta('job'), await db.meta('person'), await draft('note:2117/main.3'), await draft('sitting')]).toEqual([jobB, '', undefined, 'day']);
    await db.setMeta('person', 'ada');
    await db.write(['drafts'], async (tx) => void (await tx.objectStore('drafts').put('12', 'note:2117/main.3')));
    expect(await changeJob(db, jobB, jobA)).toEqual({ person: 'idris', last, office });
    expect(await draft('note:2117/main.3')).toBe('74.9');
    expect((await changeJob(db, jobA, jobB)).person).toBe('ada');
    expect(await draft('note:2117/main.3')).toBe('12');
  });
  it('an exchange of the one that is not in hand is written down beside it', async () => {
    await inHand();
    await stood(db, jobB, { last: '2031-04-13T08:00:00Z', office: { count: 2, offset: 0 } });
    expect(await db.meta('last')).toBe(last);
    expect(await changeJob(db, jobA, jobB)).toEqual({ person: '', last: '2031-04-13T08:00:00Z', office: { count: 2, offset: 0 } });
  });
  it('each job has its own log and its own count of what waits', async () => {
    const compose = (job: string, d: Record<string, unknown>) => ({ id: `${job[0]}-${d['log']}-${d['seq']}`, raw: JSON.stringify({ job, ...d }) });
    const means = { compose, now: () => new Date('2031-04-12T10:00:00Z'), random: () => `log-${++drawn}` };
    const writer = { person: 'idris', name: 'P2', workshop: false };
    const a = await new DeviceLog(db, jobA, means).keep({ kind: 'note', body: {} }, writer);
    await changeJob(db, jobA, jobB);
    const b = await new DeviceLog(db, jobB, means).keep({ kind: 'note', body: {} }, writer);
    await new DeviceLog(db, jobB, means).keep({ kind: 'note', body: {} }, writer);
    expect(new Set([...a, ...b].map((e) => e.log)).size).toBe(2);
    expect([...(await db.waitingByJob())]).toEqual([[jobA, 2], [jobB, 3]]);
    expect((await db.waiting(jobA, 10)).every((e) => e.job === jobA)).toBe(true);
    expect(await new Db().waitingByJob()).toEqual(new Map([[jobA, 2], [jobB, 3]]));
  });
});
