// The device log of a job: who wrote what, once. The log's name is drawn with
// its first entry; every entry names the one before it (T9). The core composes,
// this file keeps.
import type { Db, StoredEntry, StoredPhoto, Tx } from './db';

/** Where the own log of a job has got to. */
export interface Head {
  log: string;
  seq: number;
  prev: string;
  /** The branch head that a log begun after a fork or a loss continues. */
  continues?: string;
}

export interface Draft {
  kind: string;
  body: unknown;
  over?: string[];
  after?: string[];
  by?: string;
}

export interface Composed {
  id: string;
  raw: string;
}

/** What the log needs of the core and the world. */
export interface Means {
  compose(job: string, draft: Record<string, unknown>): Composed;
  now(): Date;
  random(): string;
}

export interface Writer {
  person: string;
  /** What the lead sees in the list of phones. */
  name: string;
  workshop: boolean;
}

/** A local time with its offset, as people read it. */
export function stamp(d: Date): string {
  const two = (n: number) => String(Math.abs(Math.trunc(n))).padStart(2, '0');
  const off = -d.getTimezoneOffset();
  const day = `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;
  return `${day}T${two(d.getHours())}:${two(d.getMinutes())}:${two(d.getSeconds())}${off < 0 ? '-' : '+'}${two(off / 60)}:${two(off % 60)}`;
}

export class DeviceLog {
  /** What was written last without knowing whether it stayed: the same draft kept again is the same entry (T7). */
  private unsure: { draft: string; made: StoredEntry[]; head: Head } | undefined;

  constructor(
    private readonly db: Db,
    readonly job: string,
    private readonly means: Means,
  ) {}

  private key(): string {
    return `log:${this.job}`;
  }

  async head(): Promise<Head | undefined> {
    return this.db.meta<Head>(this.key());
  }

  /** Keeps what a draft says. It resolves when entry, new head and photo are on the disk, and not before. Drafts that it finishes go with it. */
  async keep(draft: Draft, writer: Writer, photo?: Omit<StoredPhoto, 'job' | 'waits'>, finished: string[] = []): Promise<StoredEntry[]> {
    // Composed before the transaction: it must not be kept open while the core works.
    const found = await this.head();
    const said = JSON.stringify(draft);
    const { unsure } = this;
    this.unsure = undefined;
    if (unsure?.draft === said && found?.prev === unsure.head.prev) return unsure.made;
    const before = found ?? { log: this.means.random(), seq: 0, prev: '' };
    const made: StoredEntry[] = [];
    let head = before;
    if (head.seq === 0) head = this.append(made, head, opening(head, writer));
    head = this.append(made, head, { ...draft, by: draft.by ?? writer.person });
    this.unsure = { draft: said, made, head };
    await this.db.write(['entries', 'meta', 'photos', 'drafts'], async (tx) => {
      if (await this.already(tx, made)) return;
      await this.unchanged(tx, before);
      for (const e of made) await tx.objectStore('entries').add(e);
      await tx.objectStore('meta').put(head, this.key());
      if (photo !== undefined) await tx.objectStore('photos').put({ ...photo, job: this.job, waits: 1 });
      for (const key of finished) await tx.objectStore('drafts').delete(key);
    });
    this.unsure = undefined;
    return made;
  }

  /** A connection can be lost after the transaction was complete: tried again, it finds its own work done (T7). */
  private async already(tx: Tx, made: StoredEntry[]): Promise<boolean> {
    const last = made[made.length - 1];
    const there = last === undefined ? undefined : await tx.objectStore('entries').get(last.id);
    return there !== undefined && there.raw === last?.raw;
  }

  /** Two writers at once would give one number twice: the second one fails and is tried again by its caller. */
  private async unchanged(tx: Tx, before: Head): Promise<void> {
    const now = (await tx.objectStore('meta').get(this.key())) as Head | undefined;
    if ((now?.seq ?? 0) !== before.seq || (now !== undefined && now.log !== before.log)) throw new Error('another part of this phone wrote at the same moment: keep it once more');
  }

  private append(made: StoredEntry[], head: Head, draft: Draft): Head {
    const seq = head.seq + 1;
    const { id, raw } = this.means.compose(this.job, {
      log: head.log, seq, prev: head.prev, at: stamp(this.means.now()), by: draft.by ?? '', kind: draft.kind,
      over: draft.over ?? [], after: draft.after ?? [], body: draft.body,
    });
    made.push({ id, job: this.job, log: head.log, seq, raw, waits: 1 });
    return { log: head.log, seq, prev: id };
  }

  /** Writes on in a new log: the office has seen another phone with the old one, or this phone's store was lost. */
  async renew(tx: Tx, continues: string): Promise<void> {
    const head: Head = { log: this.means.random(), seq: 0, prev: '', continues };
    await tx.objectStore('meta').put(head, this.key());
  }
}

function opening(head: Head, writer: Writer): Draft {
  const body: Record<string, string> = { device: writer.workshop ? 'workshop' : 'own', name: writer.name };
  if (writer.person !== '' && !writer.workshop) body['of'] = writer.person;
  if (head.continues !== undefined && head.continues !== '') body['continues'] = head.continues;
  return { kind: 'log', body, by: writer.person };
}
