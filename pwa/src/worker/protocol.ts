// What page and worker say to each other.
import type { Draft } from '../log/log';

export interface Status {
  ready: boolean;
  paired: boolean;
  role: 'lead' | 'fitter' | 'viewer' | '';
  device: string;
  workshop: boolean;
  job: string;
  jobs: { job: string; title: string }[];
  unsent: number;
  unsentPhotos: number;
  entries: number;
  exchange: 'idle' | 'busy' | 'away' | 'other network' | 'refused';
  says: string;
  last: string;
  differs: string;
  person: string;
}

export const noStatus: Status = {
  ready: false, paired: false, role: '', device: '', workshop: false, job: '', jobs: [], unsent: 0, unsentPhotos: 0, entries: 0,
  exchange: 'idle', says: '', last: '', differs: '', person: '',
};

/** Calls from the page; each is answered with its result or with words. */
export interface Calls {
  view(name: string, args: unknown): unknown;
  keep(draft: Draft): { id: string };
  keepPhoto(draft: Draft, bytes: ArrayBuffer, type: string): { id: string };
  photo(sha: string): { bytes: ArrayBuffer; type: string } | undefined;
  pair(code: string, name: string, workshop: boolean): void;
  chooseJob(job: string): void;
  startJob(title: string, vehicle: string): void;
  setPerson(key: string): void;
  exchange(): void;
  office(path: string, body: unknown, method?: string): unknown;
  officeFile(path: string): { bytes: ArrayBuffer; type: string };
  saveDraft(key: string, value: unknown): void;
  loadDraft(key: string): unknown;
  dropDraft(key: string): void;
  unsent(): { id: string; words: string }[];
  wake(): void;
}

export type CallName = keyof Calls;
export interface Call { id: number; name: CallName; args: unknown[] }
export type Answer = { id: number; ok: unknown } | { id: number; error: string };
export type News = { status: Status } | { changed: true };
