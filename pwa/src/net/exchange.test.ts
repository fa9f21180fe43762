import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import { Db } from '../log/db';
import { DeviceLog } from '../log/log';
import { Exchange, type Copy } from './exchange';
import { Office } from './office';
import { Away, mediaType, type RequestHead } from './wire';

const job = 'a'.repeat(32);
const who = { device: 'd', workspace: 'w', server: 's' };
let drawn = 0;
const random = () => String(++drawn).padStart(32, '0');
const now = () => new Date('2031-04-12T10:00:00Z');

/** An entry's name: its place in its log, for want of a hash. */
function nameOf(line: string): string {
  const { log: l, seq } = JSON.parse(line) as { log: string; seq: number };
  return `${l}-${seq}`;
}

/** A core that tells entries by their text; its digest is the sorted list of them. */
class FakeCopy implements Copy {
  readonly lines = new Set<string>();
  add(_: string, lines: string[]) { for (const l of lines) this.lines.add(l); }
  digest() { return { count: this.lines.size, digest: [...this.lines].sort().join(), results: '', core: '1' }; }
  heads() { return {}; }
  idOf(line: string) { return line.includes('spoilt') ? `${nameOf(line)} spoilt` : nameOf(line); } // other bytes have another hash
}

/** An office in a few lines: a timeline, leases, and replies that may be lost. */
class FakeOffice {
  timeline: string[] = [];
  leases = new Map<string, { current: string; next: string }>();
  epoch = 'e1';
  drop = (_: number) => false;
  clones = 0;
  requests = 0;
  heads: Record<string, { seq: number; id: string }> = {};
  told: RequestHead['phone'][] = [];

  fetch = async (path: string, init: RequestInit): Promise<Response> => {
    if (path === '/api/v1/token') return Response.json({ token: 't' });
    const n = ++this.requests;
    const raw = init.body instanceof ArrayBuffer ? await new Response(new Blob([init.body]).stream().pipeThrough(new DecompressionStream('gzip'))).text() : String(init.body);
    const [first, ...lines] = raw.split('\n').filter((l) => l !== '');
    const out = this.answer(JSON.parse(first ?? '') as RequestHead, lines);
    if (this.drop(n)) throw new TypeError('the reply was lost');
    return new Response(out, { headers: { 'Content-Type': mediaType } });
  };

  private answer(head: RequestHead, lines: string[]): string {
    let status = 'ok';
    this.told.push(head.phone);
    if (head.lease !== undefined && head.log !== undefined) {
      const held = this.leases.get(head.log);
      if (held === undefined || held.next === head.lease.current) this.leases.set(head.log, head.lease);
      else if (held.current !== head.lease.current || held.next !== head.lease.next) { status = 'new log'; this.clones++; }
    }
    const fresh = lines.filter((l) => !this.timeline.includes(l));
    this.timeline.push(...fresh);
    const known = head.cursor === undefined || head.cursor.epoch === this.epoch;
    if (!known) status = 'start again';
    const page = known ? this.timeline.slice(head.cursor?.pos ?? 0) : [];
    const reply = {
      v: 1, server: 's', workspace: 'w', job, status, stored: fresh.length, held: lines.length - fresh.length, bad: [], heads: this.heads,
      cursor: { epoch: this.epoch, pos: known ? this.timeline.length : 0, digest: '' }, more: false, count: this.timeline.length, digest: [...this.timeline].sort().join(), time: '',
    };
    return [JSON.stringify(reply), ...page, ''].join('\n');
  }
}

let db: Db;
let office: FakeOffice;
let copy: FakeCopy;
let log: DeviceLog;

function exchange() {
  return new Exchange(db, job, log, copy, new Office(office.fetch), who, { random, now, app: () => 'b1' });
}

async function write(text: string) {
  const made = await log.keep({ kind: 'note', body: { text } }, { person: 'idris', name: 'P2', workshop: false });
  copy.add(job, made.map((e) => e.raw));
}

beforeEach(() => {
  db?.drop();
  globalThis.indexedDB = new IDBFactory();
  db = new Db();
  office = new FakeOffice();
  copy = new FakeCopy();
  log = new DeviceLog(db, job, { random, now, compose: (j, d) => { const raw = JSON.stringify({ job: j, ...d }); return { id: nameOf(raw), raw }; } });
});

describe('the exchange', () => {
  it('hands in what waits and fetches what is there', async () => {
    office.timeline.push('{"log":"other","seq":1}');
    await write('one');
    await exchange().run(() => undefined);
    expect(await db.countWaiting(job)).toBe(0);
    expect(office.timeline.length).toBe(3);
    expect(copy.lines.size).toBe(3);
  });
  it('says how the phone stands once the request is through, for the lead', async () => {
    await write('one');
    await log.keep({ kind: 'photo', body: {} }, { person: 'idris', name: 'P2', workshop: false }, { sha: 'f'.repeat(64), type: 'image/jpeg', bytes: new ArrayBuffer(3) });
    for (let i = 0; i < 500; i++) await write(`n${i}`); // more than one request carries
    await exchange().run(() => undefined);
    expect(office.told.map((p) => p.unsent)).toEqual([3, 0]);
    expect(office.told[0]).toEqual({ app: 'b1', core: '1', unsent: 3, photos: 1 });
  });
  it('lost replies double nothing, lose nothing and open no new log (T11, T13)', async () => {
    office.drop = (n) => n % 3 === 0;
    for (let i = 0; i < 25; i++) {
      await write(`n${i}`);
      for (let tries = 0; tries < 5; tries++) {
        try {
          await exchange().run(() => undefined);
          break;
        } catch (e) {
          expect(e).toBeInstanceOf(Away);
        }
      }
    }
    expect(office.timeline.length).toBe(26);
    expect(new Set(office.timeline).size).toBe(26);
    expect(office.clones).toBe(0);
    expect(await db.countWaiting(job)).toBe(0);
  });
  it('a copied phone gets a new log that names what it continues (T11)', async () => {
    await write('one');
    await exchange().run(() => undefined);
    const head = await log.head();
    office.leases.set(head?.log ?? '', { current: 'x', next: 'y' }); // the other copy was here
    await write('two');
    await exchange().run(() => undefined);
    const renewed = await log.head();
    expect(renewed?.log).not.toBe(head?.log);
    expect(renewed?.seq).toBe(0);
    expect(renewed?.continues).toBe(`${head?.log}-3`);
    expect(office.timeline.some((l) => l.includes('two'))).toBe(true);
  });
  it('an office that was restored gets back everything it lost, of any log (T12, T21)', async () => {
    office.timeline.push('{"log":"other","seq":1}');
    await write('one');
    await write('two');
    await exchange().run(() => undefined);
    office.timeline = office.timeline.slice(0, 1);
    office.epoch = 'e2';
    await exchange().run(() => undefined);
    expect(office.timeline.length).toBe(4);
    expect(copy.lines.size).toBe(4);
  });
  it('an office that is put back once more before the first page comes gets everything once more (T21)', async () => {
    await write('one');
    await write('two');
    await exchange().run(() => undefined);
    for (const epoch of ['e2', 'e3']) {
      office.timeline = [];
      office.epoch = epoch;
      expect((await exchange().once()).head.status).toBe('start again');
      expect(await db.countWaiting(job)).toBe(3);
    }
    await exchange().run(() => undefined);
    expect(office.timeline.length).toBe(3);
  });
  it('an office that holds another branch of the log is offered this one (T21)', async () => {
    await write('one');
    await exchange().run(() => undefined);
    const head = await log.head();
    office.timeline = ['{"log":"other","seq":1}'];
    office.epoch = 'e2';
    office.heads = { [head?.log ?? '']: { seq: 9, id: 'of the other copy' } };
    await exchange().once();
    expect(await db.countWaiting(job)).toBe(2);
  });
  it('a copy that differs is met by offering and reading everything anew, once (T22)', async () => {
    await write('one');
    await exchange().run(() => undefined);
    office.timeline = office.timeline.slice(0, 1); // gone there, and the cursor still fits
    await exchange().run(() => undefined);
    expect(office.timeline.length).toBe(2);
  });
  it("a row that changed on the phone's own disk is noticed at the next start, and is right again (T22)", async () => {
    office.timeline.push('{"log":"other","seq":1,"text":"74.981"}');
    await write('one');
    await exchange().run(() => undefined);
    await db.write(['entries'], async (tx) => {
      const row = await tx.objectStore('entries').get('other-1');
      if (row !== undefined) await tx.objectStore('entries').put({ ...row, raw: row.raw.replace('74.981', 'spoilt') });
    });
    const start = async () => {
      copy = new FakeCopy();
      await db.eachEntry(job, (rows) => copy.add(job, rows.map((e) => e.raw)));
    };
    await start();
    expect(copy.digest().digest).not.toBe([...office.timeline].sort().join());
    await exchange().run(() => undefined);
    await start();
    expect(copy.lines).toContain('{"log":"other","seq":1,"text":"74.981"}');
    expect(copy.digest().digest).toBe([...office.timeline].sort().join());
    const asked = office.requests;
    await exchange().run(() => undefined);
    expect(office.requests).toBe(asked + 1); // nothing is left to mend
  });
  it('one request carries no more than the office takes: 500 entries, 1 MiB (T13)', async () => {
    const sizes: number[] = [];
    const { fetch } = office;
    office.fetch = async (path, init) => {
      if (path.endsWith('/exchange')) {
        const zipped = init.body instanceof ArrayBuffer;
        const raw = zipped ? await new Response(new Blob([init.body as ArrayBuffer]).stream().pipeThrough(new DecompressionStream('gzip'))).text() : String(init.body);
        const lines = raw.split('\n').slice(1, -1);
        expect(lines.length).toBeLessThanOrEqual(500);
        sizes.push(lines.reduce((n, l) => n + l.length, 0));
      }
      return fetch(path, init);
    };
    for (let i = 0; i < 40; i++) await write(`${i} `.repeat(20_000));
    await exchange().run(() => undefined);
    expect(Math.max(...sizes)).toBeLessThanOrEqual(1 << 20);
    expect(sizes.length).toBeGreaterThan(1);
    expect(await db.countWaiting(job)).toBe(0);
    expect(office.timeline.length).toBe(41);
  });
});
