// What page and worker say to each other.
import type { Copies } from '../log/copies';
import type { JobName, Offered } from '../log/jobs';
import type { Draft } from '../log/log';
import type { HandIn, TakenIn } from '../net/handin';
import type { OfficeFile } from '../net/office';

/** What the office knows of a phone whose store was cleared (T6); since is when it last handed in, '' for never. */
export interface Lost { name: string; entries: number; since: string }

/** A job on this phone: how many of its entries only this phone has, and whether it was ever fetched. */
export interface JobHere extends JobName { unsent: number; fetched: boolean }

/** What keeps this window from the phone's store: see log/db.ts. */
export type Trouble = '' | 'blocked' | 'let go' | 'newer';

export interface Status {
  ready: boolean;
  paired: boolean;
  role: 'lead' | 'fitter' | 'viewer' | '';
  device: string;
  workshop: boolean;
  job: string;
  /** The jobs on this phone, the one in hand among them. */
  jobs: JobHere[];
  /** Other jobs of the office, as it last said. */
  offered: Offered[];
  /** How many entries of the job in hand only this phone has. */
  unsent: number;
  unsentPhotos: number;
  entries: number;
  /** How the last exchange ended; it stands while the next one is under way, which is said by busy. */
  exchange: 'idle' | 'away' | 'other network' | 'refused';
  busy: boolean;
  says: string;
  last: string;
  differs: string;
  person: string;
  trouble: Trouble;
  lost: Lost | undefined;
  /** The office no longer knows this phone: its pairing was ended, or its secret is gone. */
  ended: boolean;
  /** How many entries of this job the office had at the last exchange, and this phone's clock against its own, in ms. */
  office: { count: number; offset: number } | undefined;
  core: string;
}

export const noStatus: Status = {
  ready: false, paired: false, role: '', device: '', workshop: false, job: '', jobs: [], offered: [], unsent: 0, unsentPhotos: 0, entries: 0,
  exchange: 'idle', busy: false, says: '', last: '', differs: '', person: '',
  trouble: '', lost: undefined, ended: false, office: undefined, core: '',
};

/** Calls from the page; each is answered with its result or with words. */
export interface Calls {
  /** Which build of the app the page is. */
  appIs(build: string): void;
  view(name: string, args: unknown): unknown;
  keep(draft: Draft, finished?: string[]): { id: string };
  keepPhoto(draft: Draft, bytes: ArrayBuffer, type: string, finished?: string[]): { id: string };
  sentCopies(): Copies;
  dropSentCopies(): Copies;
  photo(sha: string): { bytes: ArrayBuffer; type: string } | undefined;
  pair(code: string, name: string, workshop: boolean): void;
  /** Works in this job from now on; one that is only at the office is taken onto this phone. */
  chooseJob(job: string): void;
  /** Takes a job of the office onto this phone; the one in hand stays. */
  takeJob(job: string): void;
  /** Says that a job stays at the office. */
  leaveJob(job: string): void;
  startJob(title: string, vehicle: string): void;
  setPerson(key: string): void;
  exchange(): void;
  office(path: string, body: unknown, method?: string): unknown;
  officeFile(path: string): OfficeFile;
  saveDraft(key: string, value: unknown): void;
  loadDraft(key: string): unknown;
  dropDraft(key: string): void;
  unsent(): { id: string; words: string }[];
  saveUnsent(job: string): HandIn;
  unsentPhoto(n: number): { file: string; bytes: ArrayBuffer; type: string; of: number } | undefined;
  takeInFile(bytes: ArrayBuffer): TakenIn | undefined;
  /** The same as lines for a file; works for a store of any version. */
  unsentFile(): string;
  /** Goes on after the phone's store was cleared. */
  takeUp(workshop: boolean): void;
  wake(): void;
  /** Ends what is under way with the store, before the page is loaded anew: nothing can be kept after it. */
  rest(): void;
  /** Ends the pairing and deletes the store; refuses while something is only here. */
  takeOut(): void;
}

export type CallName = keyof Calls;
export interface Call { id: number; name: CallName; args: unknown[] }
export type Answer = { id: number; ok: unknown } | { id: number; error: string };
export type News = { status: Status } | { changed: true };
