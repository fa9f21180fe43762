// One exchange carries what the phone has and brings what it lacks. A request
// that failed goes again with the same lease, so that a lost reply is a retry
// and only a copied phone is something else (T11, T12, T13, T20, T21, T22).
import type { Db, StoredEntry, Tx } from '../log/db';
import type { DeviceLog, Head } from '../log/log';
import type { Office } from './office';
import { mediaType, NotOffice, readReply, type Cursor, type Lease, type Page, type ReplyHead, type RequestHead } from './wire';

export interface Identity { device: string; workspace: string; server: string }

/** What the exchange needs of the core: it adds entries and says how many there are. */
export interface Copy {
  add(job: string, lines: string[]): void;
  digest(job: string): { count: number; digest: string; results: string; core: string };
  heads(job: string): Record<string, { seq: number; id: string; forked?: boolean }>;
  idOf(line: string): string;
}

export interface Outcome { done: boolean; fetched: number; head: ReplyHead }

const maxBatch = 500;
const maxBytes = 1 << 20;
const zipFrom = 1024;
const pageLimit = 2000;

export class Exchange {
  private restarted = false;

  constructor(
    private readonly db: Db,
    private readonly job: string,
    private readonly log: DeviceLog,
    private readonly copy: Copy,
    private readonly office: Office,
    private readonly who: Identity,
    private readonly means: { random(): string; now(): Date; app(): string },
  ) {}

  /** Hands in and fetches until nothing waits and nothing is left. Visits each step's outcome. */
  async run(step: (o: Outcome) => void): Promise<ReplyHead> {
    for (;;) {
      const o = await this.once();
      step(o);
      if (o.done) return o.head;
    }
  }

  /** Sends one request and takes over what its reply says. */
  async once(): Promise<Outcome> {
    const batch = await this.batch();
    const head = await this.request(batch);
    const body = [JSON.stringify(head), ...batch.map((e) => e.raw), ''].join('\n');
    const reply = await this.office.send(`/api/v1/jobs/${this.job}/exchange`, { method: 'POST', ...(await packed(body)) });
    const page = await readReply(reply, { server: this.who.server, workspace: this.who.workspace, job: this.job });
    return this.settle(head, batch, page);
  }

  private async batch(): Promise<StoredEntry[]> {
    const rows = await this.db.waiting(this.job, maxBatch);
    let size = 0;
    const end = rows.findIndex((e) => (size += new TextEncoder().encode(e.raw).length) > maxBytes);
    return end < 0 ? rows : rows.slice(0, Math.max(1, end));
  }

  /** The next lease is drawn and stored before anything is sent. */
  private async request(batch: StoredEntry[]): Promise<RequestHead> {
    const own = await this.log.head();
    const { count, digest, core } = this.copy.digest(this.job);
    const [waiting, photos] = await Promise.all([this.db.waitingByJob(), this.db.waitingPhotos()]);
    const unsent = [...waiting.values()].reduce((sum, n) => sum + n, 0);
    const cursor = await this.db.meta<Cursor>(`cursor:${this.job}`);
    // A phone that has written nothing has no log, and so nothing that could be copied.
    const mine = own === undefined || own.seq === 0 ? {} : { log: own.log, lease: await this.lease() };
    return {
      v: 1, ...mine, ...(cursor === undefined ? {} : { cursor }), holds: own !== undefined && own.seq > 0 ? { [own.log]: await this.held(own, batch) } : {},
      count, digest, limit: pageLimit, lines: batch.length, time: this.means.now().toISOString(),
      phone: { app: this.means.app(), core, unsent: unsent - batch.length, photos: photos.length },
    };
  }

  /** How far the office need not send the own log back. What it does not have yet may stand in another branch there. */
  private async held(own: Head, batch: StoredEntry[]): Promise<number> {
    const sent = batch.filter((e) => e.log === own.log).pop();
    if (sent !== undefined) return sent.seq; // a batch is in order
    return (await this.db.countWaiting(this.job)) === batch.length ? own.seq : 0;
  }

  private async lease(): Promise<Lease> {
    const key = `lease:${this.job}`;
    const held = (await this.db.meta<Lease>(key)) ?? { current: this.means.random(), next: '' };
    if (held.next !== '') return held;
    const drawn = { ...held, next: this.means.random() };
    await this.db.setMeta(key, drawn);
    return drawn;
  }

  /** Takes over a reply in one transaction: what was acknowledged, the page, the cursor, the lease. */
  private async settle(sent: RequestHead, batch: StoredEntry[], page: Page): Promise<Outcome> {
    const { head } = page;
    if (head.stored + head.held + head.bad.length !== batch.length) throw new NotOffice();
    const again = head.status === 'start again';
    const fresh = again ? [] : page.lines.map((raw) => this.row(raw));
    await this.db.write(['entries', 'meta'], async (tx) => {
      await this.acknowledge(tx, batch, head);
      for (const e of fresh) await this.take(tx, e);
      if (sent.lease !== undefined) await tx.objectStore('meta').put({ current: sent.lease.next, next: '' } satisfies Lease, `lease:${this.job}`);
      if (head.status === 'new log') await this.log.renew(tx, (await this.own(tx))?.prev ?? '');
      if (again) await this.offerAll(tx, head);
      else await tx.objectStore('meta').put(head.cursor, `cursor:${this.job}`);
    });
    if (fresh.length > 0) this.copy.add(this.job, page.lines);
    return { done: !again && (await this.agrees(head)), fetched: fresh.length, head };
  }

  /** What is here already stays; a row whose bytes have changed on this phone's disk gets back those that its name says (T22). */
  private async take(tx: Tx, e: StoredEntry): Promise<void> {
    const here = await tx.objectStore('entries').get(e.id);
    if (here === undefined) await tx.objectStore('entries').add(e);
    else if (here.raw !== e.raw) await tx.objectStore('entries').put({ ...here, raw: e.raw });
  }

  private async own(tx: Tx): Promise<{ prev: string } | undefined> {
    return (await tx.objectStore('meta').get(`log:${this.job}`)) as { prev: string } | undefined;
  }

  private row(raw: string): StoredEntry {
    const { log, seq } = JSON.parse(raw) as { log: string; seq: number };
    return { id: this.copy.idOf(raw), job: this.job, log, seq, raw };
  }

  private async acknowledge(tx: Tx, batch: StoredEntry[], head: ReplyHead): Promise<void> {
    const refused = new Map(head.bad.map((b) => [b.line - 2, b.why])); // line 1 was the head
    for (const [i, e] of batch.entries()) {
      const { waits: _, ...rest } = e;
      const why = refused.get(i);
      await tx.objectStore('entries').put(why === undefined ? rest : { ...rest, refused: why });
    }
  }

  /**
   * Before the copy is read anew every entry that the office may lack is offered, of any log. The epoch stays known: an office
   * that is put back before the first page comes has to say so once more, for what it had may be gone again.
   */
  private async offerAll(tx: Tx, head: Pick<ReplyHead, 'heads' | 'cursor'>): Promise<void> {
    await tx.objectStore('meta').put(beginning(head.cursor.epoch), `cursor:${this.job}`);
    const all = await tx.objectStore('entries').index('job').getAll(this.job);
    const there = behind(all, head.heads);
    for (const e of all) if (!there.has(e.id)) await tx.objectStore('entries').put({ ...e, waits: 1 });
  }

  /** Both sides compare count and digest when all is handed in and fetched. A difference is met once by offering and reading everything anew. */
  private async agrees(head: ReplyHead): Promise<boolean> {
    if (head.more || head.cursor.pos !== head.count || (await this.db.countWaiting(this.job)) > 0) return false;
    const mine = this.copy.digest(this.job);
    if (mine.digest === head.digest) {
      this.restarted = false;
      return true;
    }
    if (this.restarted) return true; // told to the user by the caller: the digests still differ
    this.restarted = true;
    await this.db.write(['entries', 'meta'], (tx) => this.offerAll(tx, { heads: {}, cursor: head.cursor }));
    return false;
  }
}

/** The place before the first entry of an epoch (T21). */
function beginning(epoch: string): Cursor {
  return { epoch, pos: 0, digest: '0'.repeat(64) };
}

/** What the office has for certain: the chain behind each head. The rest of a log may be another branch than the one that is there. */
function behind(all: StoredEntry[], heads: ReplyHead['heads']): Set<string> {
  const mine = new Map(all.map((e) => [e.id, e]));
  const there = new Set<string>();
  for (const head of Object.values(heads)) {
    let e = head.forked === true ? undefined : mine.get(head.id);
    for (; e !== undefined; e = mine.get((JSON.parse(e.raw) as { prev?: string }).prev ?? '')) there.add(e.id);
  }
  return there;
}

/** Compresses a body that is worth it. */
async function packed(body: string): Promise<RequestInit> {
  const headers: Record<string, string> = { 'Content-Type': mediaType };
  if (body.length < zipFrom || typeof CompressionStream === 'undefined') return { headers, body };
  const zipped = await new Response(new Blob([body]).stream().pipeThrough(new CompressionStream('gzip'))).arrayBuffer();
  return { headers: { ...headers, 'Content-Encoding': 'gzip' }, body: zipped };
}
