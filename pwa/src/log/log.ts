// The device log of a job: who wrote what, once. The log's name is drawn with
// its first entry; every entry names the one before it (T9). The core composes,
// this file keeps.
import type { Db, Names, StoredEntry, StoredPhoto, Tx } from './db';

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

/** The log has got further than this writer knew. */
class Moved extends Error {
  constructor() {
    super('another part of this phone wrote at the same moment: keep it once more');
  }
}

/** It is on the disk already, from an attempt whose end was not heard. */
class Already extends Error {}

/** A promise that is waited for later, or whose failure takes the whole transaction with it: it is no unheard one. */
function quiet<T>(p: Promise<T>): Promise<T> {
  p.catch(() => undefined);
  return p;
}

/**
 * A connection can be lost after the transaction was complete: tried again, it finds its own work done (T7).
 * Two writers at once would give one number twice: the second one fails. Errors: Already, Moved.
 */
function fits(before: Head, after: Head, now: Head | undefined): void {
  if (now?.log === after.log && now.seq === after.seq && now.prev === after.prev) throw new Already();
  if ((now?.seq ?? 0) !== before.seq || (now !== undefined && now.log !== before.log)) throw new Moved();
}

export class DeviceLog {
  /** Where the log has got to, as this writer left it; undefined while that is not sure. */
  private last: Head | undefined;
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
    const { last } = this;
    this.last = undefined; // known again when this has stayed
    if (last !== undefined) {
      try {
        return await this.keepAfter(last, draft, writer, photo, finished);
      } catch (e) {
        if (!(e instanceof Moved)) throw e; // a new log was begun meanwhile: look where it has got to
      }
    }
    return this.keepAfter(await this.head(), draft, writer, photo, finished);
  }

  /** `found` is where the log had got to; the transaction proves that it is still so. */
  private async keepAfter(found: Head | undefined, draft: Draft, writer: Writer, photo: Omit<StoredPhoto, 'job' | 'waits'> | undefined, finished: string[]): Promise<StoredEntry[]> {
    const said = JSON.stringify(draft);
    const { unsure } = this;
    const stayed = unsure?.draft === said && found?.prev === unsure.head.prev;
    if (stayed) await this.finish(finished); // unsure until this is through: it must not be written twice
    this.unsure = undefined;
    if (stayed) return unsure.made;
    const before = found ?? { log: this.means.random(), seq: 0, prev: '' };
    const made: StoredEntry[] = [];
    let head = before;
    const compose = () => {
      if (made.length > 0) return; // tried again over a new connection, it is the same entry (T7)
      if (head.seq === 0) head = this.append(made, head, opening(head, writer));
      head = this.append(made, head, { ...draft, by: draft.by ?? writer.person });
      this.unsure = { draft: said, made, head };
    };
    const stores: Names[] = ['entries', 'meta', ...(photo === undefined ? [] : ['photos' as const]), ...(finished.length === 0 ? [] : ['drafts' as const])];
    await this.db.write(stores, async (tx) => {
      // All are asked at once: each answer waited for alone would be one more way to the disk's process and back.
      const looked = quiet(tx.objectStore('meta').get(this.key()));
      compose(); // meanwhile: the core needs as long as the question is on its way
      const written: Promise<unknown>[] = made.map((e) => quiet(tx.objectStore('entries').add(e)));
      written.push(tx.objectStore('meta').put(head, this.key()));
      if (photo !== undefined) written.push(tx.objectStore('photos').put({ ...photo, job: this.job, waits: 1 }));
      for (const key of finished) written.push(tx.objectStore('drafts').delete(key));
      const all = quiet(Promise.all(written));
      fits(before, head, (await looked) as Head | undefined);
      await all;
    }).catch((e: unknown) => {
      if (!(e instanceof Already)) throw e;
    });
    this.unsure = undefined;
    this.last = head;
    return made;
  }

  /** Drafts that were filled in again after what they say had stayed without a word. */
  private async finish(drafts: string[]): Promise<void> {
    if (drafts.length > 0) await this.db.write(['drafts'], async (tx) => void (await Promise.all(drafts.map((key) => tx.objectStore('drafts').delete(key)))));
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
    this.last = undefined;
  }
}

function opening(head: Head, writer: Writer): Draft {
  const body: Record<string, string> = { device: writer.workshop ? 'workshop' : 'own', name: writer.name };
  if (writer.person !== '' && !writer.workshop) body['of'] = writer.person;
  if (head.continues !== undefined && head.continues !== '') body['continues'] = head.continues;
  return { kind: 'log', body, by: writer.person };
}
