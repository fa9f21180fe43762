// The phone's own store. Every write of an entry is one transaction of strict
// durability, and counts only when that has completed: the success of a single
// request does not mean that it stays (T1).
import { openDB, type DBSchema, type IDBPDatabase, type IDBPObjectStore, type IDBPTransaction } from 'idb';
import { oneByOne } from '../app/turns';

export interface StoredEntry {
  id: string;
  job: string;
  log: string;
  seq: number;
  raw: string;
  /** 1 while the office has not acknowledged it; absent afterwards, so that the index holds only what waits. */
  waits?: 1;
  /** Why the office could not read it; it is kept and shown. */
  refused?: string;
}

export interface StoredPhoto {
  sha: string;
  job: string;
  type: string;
  bytes: ArrayBuffer;
  waits?: 1;
  /** Why the office does not take it: it is not sent again, and stays here. */
  refused?: string;
}

interface Schema extends DBSchema {
  entries: { key: string; value: StoredEntry; indexes: { job: string; waiting: [string, number] } };
  photos: { key: string; value: StoredPhoto; indexes: { waiting: number } };
  meta: { key: string; value: unknown };
  drafts: { key: string; value: unknown };
}

export type Store = IDBPDatabase<Schema>;
export type Names = 'entries' | 'photos' | 'meta' | 'drafts';
export type Tx = IDBPTransaction<Schema, Names[], 'readwrite'>;
type Shelf<N extends Names> = IDBPObjectStore<Schema, [N], N, 'readonly'>;

export const dbName = 'witnessmark';
const version = 1;

/** How many rows one read brings: cursors are slow in every browser that was measured. */
const pageRows = 5000;

/** What happens to the store from outside, told as it happens. */
export type StoreNews =
  /** A newer version of the app opened the store here; this one has let go and stays away (T42). */
  | 'let go'
  /** An older window holds the store and does not let go; this one waits (T42). */
  | 'blocked'
  /** There was no store, so an empty one was made: the first start, or the phone has cleared it (T6). */
  | 'fresh';

/** A newer version of the app has changed the store: this one must not touch it (T44). */
export class NewerStore extends Error {
  constructor() {
    super('a newer version of the app has been used on this phone, and this older one cannot read what it keeps');
  }
}

const goneWords = 'a newer version of the app has opened on this phone; close this window and go on there';
const lostWords = "this phone's store was lost twice running. Keep it once more: it counts once. If that fails too, close the app, open it again and look whether it is there.";

/** How a store is opened; tests open it in their own way. */
export type Opener = typeof openDB<Schema>;

export class Db {
  private db: Store | undefined;
  private opening: Promise<Store> | undefined;
  private gone = false;
  /**
   * One transaction at a time, each to its end, and none is told to commit() with writes still on their way: of a worker that ends
   * with its page WebKit clears away the transaction that runs, but one that waits behind another, or has been told to commit,
   * stays open for ever, and whatever the next page asks waits behind it.
   */
  private readonly turn = oneByOne();

  constructor(
    private readonly tell: (news: StoreNews) => void = () => undefined,
    private readonly opener: Opener = openDB,
    private readonly at = version,
  ) {}

  /** Opens the store, or opens it again after the browser closed it (T7). Errors: NewerStore. */
  async open(): Promise<Store> {
    if (this.gone) throw new Error(goneWords);
    if (this.db !== undefined) return this.db;
    // Who asks meanwhile waits for the same connection: one that nobody knows of could not be closed, and would hold the store.
    return this.opening ??= this.connect().finally(() => (this.opening = undefined));
  }

  private async connect(): Promise<Store> {
    const db = await this.opener(dbName, this.at, {
      upgrade: (fresh, old) => {
        if (old !== 0) return;
        create(fresh);
        this.tell('fresh');
      },
      blocked: () => this.tell('blocked'),
      // A newer version in another tab must not hang on this one (T42); a store that is being deleted may be made anew.
      blocking: (_, wanted) => {
        this.drop();
        if (wanted === null) return;
        this.gone = true;
        this.tell('let go');
      },
      terminated: () => (this.db = undefined),
    }).catch((e: unknown) => {
      throw e instanceof DOMException && e.name === 'VersionError' ? new NewerStore() : e;
    });
    if (this.gone) {
      db.close();
      throw new Error(goneWords);
    }
    this.db = db;
    return db;
  }

  drop(): void {
    this.db?.close();
    this.db = undefined;
  }

  /** Lets the store go for good: no later call opens it, or makes it, again. */
  letGo(): void {
    this.gone = true;
    this.drop();
  }

  /** Closes the store when what is under way here has ended; whoever asks for it after that waits for the next page. */
  rest(): Promise<void> {
    return this.turn(async () => {
      this.drop();
      this.opening = new Promise(() => undefined);
    });
  }

  /** Does something with the store in its turn; a lost connection is opened again, once, and then told (T7). */
  private inTurn<T>(work: (db: Store) => Promise<T>): Promise<T> {
    return this.turn(() => this.twice(work));
  }

  private async twice<T>(work: (db: Store) => Promise<T>): Promise<T> {
    try {
      return await work(await this.open());
    } catch (e) {
      if (!lostConnection(e)) throw e;
      this.drop();
    }
    try {
      return await work(await this.open());
    } catch (e) {
      if (!lostConnection(e)) throw e;
      this.drop();
      throw new Error(lostWords);
    }
  }

  /** Reads from one store; settles when the transaction has ended, and not only its answers have come or failed. */
  read<N extends Names, T>(store: N, work: (from: Shelf<N>) => Promise<T>): Promise<T> {
    return this.inTurn(async (db) => {
      const tx = db.transaction(store);
      const [out, ended] = await Promise.allSettled([work(tx.store), tx.done]);
      if (out.status === 'rejected') throw out.reason;
      if (ended.status === 'rejected') throw ended.reason;
      return out.value;
    });
  }

  /**
   * Runs one transaction; resolves only when it has completed. A relaxed one is
   * for what is half filled in: it outlives the app's end, not the battery's,
   * and what is kept waits no longer for it than for a read.
   */
  write<T>(stores: Names[], work: (tx: Tx) => Promise<T>, durability: 'strict' | 'relaxed' = 'strict'): Promise<T> {
    return this.inTurn((db) => attempt(db, stores, work, durability));
  }

  async meta<T>(key: string): Promise<T | undefined> {
    return (await this.read('meta', (meta) => meta.get(key))) as T | undefined;
  }

  async setMeta(key: string, value: unknown): Promise<void> {
    await this.write(['meta'], async (tx) => void (await tx.objectStore('meta').put(value, key)));
  }

  /** Hands every entry of a job to the visitor, in pages. */
  async eachEntry(job: string, visit: (rows: StoredEntry[]) => void): Promise<void> {
    const ids = await this.read('entries', (entries) => entries.index('job').getAllKeys(job));
    for (let at = 0; at < ids.length; at += pageRows) {
      const part = ids.slice(at, at + pageRows);
      const range = IDBKeyRange.bound(part[0], part[part.length - 1]);
      const rows = await this.read('entries', (entries) => entries.getAll(range));
      visit(rows.filter((e) => e.job === job));
    }
  }

  async waiting(job: string, most: number): Promise<StoredEntry[]> {
    const rows = await this.read('entries', (entries) => entries.index('waiting').getAll(IDBKeyRange.only([job, 1])));
    return rows.sort((a, b) => (a.log === b.log ? a.seq - b.seq : a.log < b.log ? -1 : 1)).slice(0, most);
  }

  async countWaiting(job: string): Promise<number> {
    return this.read('entries', (entries) => entries.index('waiting').count(IDBKeyRange.only([job, 1])));
  }

  /** How many entries wait, by job; a job with none is not in it. */
  async waitingByJob(): Promise<Map<string, number>> {
    return this.read('entries', async (entries) => {
      const index = entries.index('waiting');
      const counts = new Map<string, number>();
      for (let at = await index.openKeyCursor(null, 'nextunique'); at !== null; at = await at.continue()) counts.set(at.key[0], 0);
      for (const job of counts.keys()) counts.set(job, await index.count(IDBKeyRange.only([job, 1])));
      return counts;
    });
  }

  async waitingPhotos(): Promise<string[]> {
    return this.read('photos', (photos) => photos.index('waiting').getAllKeys(1));
  }
}

/** Entries that wait, as lines in the order of their logs, from a store of any version: nothing is changed (T44, T5). */
export async function waitingLines(): Promise<string> {
  // Where there is no store none is made.
  const db = await openDB<Schema>(dbName, undefined, { upgrade: (_db, _old, _new, tx) => tx.abort() }).catch(() => undefined);
  if (db === undefined) return '';
  try {
    const rows = (await db.getAll('entries')).filter((e) => e.waits === 1);
    rows.sort((a, b) => (a.log === b.log ? a.seq - b.seq : a.log < b.log ? -1 : 1));
    return rows.map((e) => `${e.raw}\n`).join('');
  } finally {
    db.close();
  }
}

function create(fresh: Store): void {
  const entries = fresh.createObjectStore('entries', { keyPath: 'id' });
  entries.createIndex('job', 'job');
  entries.createIndex('waiting', ['job', 'waits']);
  const photos = fresh.createObjectStore('photos', { keyPath: 'sha' });
  photos.createIndex('waiting', 'waits');
  fresh.createObjectStore('meta');
  fresh.createObjectStore('drafts');
}

async function attempt<T>(db: Store, stores: Names[], work: (tx: Tx) => Promise<T>, durability: 'strict' | 'relaxed'): Promise<T> {
  const tx = db.transaction(stores, 'readwrite', { durability }) as Tx;
  try {
    const out = await work(tx);
    await tx.done;
    return out;
  } catch (e) {
    // A failed step must take the whole transaction with it.
    abort(tx);
    const ended = await tx.done.catch((x: unknown) => x);
    throw full(e) || full(ended) ? new Error('this phone is full, so nothing was saved. Free some space on it, then keep it again.') : e;
  }
}

function full(e: unknown): boolean {
  return e instanceof DOMException && e.name === 'QuotaExceededError';
}

function abort(tx: Tx): void {
  try {
    tx.abort();
  } catch {
    // It has ended already.
  }
}

/** AbortError stands here too: an abort that was not asked for means that the connection died under the transaction. */
const lost = new Set(['InvalidStateError', 'UnknownError', 'AbortError']);

function lostConnection(e: unknown): boolean {
  return e instanceof DOMException && lost.has(e.name);
}
