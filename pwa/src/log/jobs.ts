// The jobs of this phone in its own store: which it works in, which others are
// on it, what the office was heard to have, and what belongs to a job besides
// its entries. One job is in hand at a time; what is set and half filled in for
// it is put aside with it and comes back with it.
import type { Db, Tx } from './db';

export interface JobName { job: string; title: string }

/** A job of the office that is not on this phone; `left` once somebody said that it stays so. */
export interface Offered extends JobName { left: boolean }

/** What is set for a job on this phone, and how it last stood with the office. */
export interface Stands { person: string; last: string; office: { count: number; offset: number } | undefined }

export const noStands: Stands = { person: '', last: '', office: undefined };

/** What the phone knows of jobs. */
export interface Jobs {
  readonly here: readonly JobName[];
  /** As the office last said, kept for when it cannot be asked. */
  readonly office: readonly JobName[];
  /** Names of those that somebody left at the office. */
  readonly left: readonly string[];
}

export const noJobs: Jobs = { here: [], office: [], left: [] };

export async function readJobs(db: Db): Promise<Jobs> {
  const [here, office, left] = await Promise.all([db.meta<JobName[]>('jobs'), db.meta<JobName[]>('office-jobs'), db.meta<string[]>('left-jobs')]);
  return { here: here ?? [], office: office ?? [], left: left ?? [] };
}

export async function writeJobs(db: Db, jobs: Jobs): Promise<void> {
  await db.write(['meta'], async (tx) => {
    await tx.objectStore('meta').put(jobs.here, 'jobs');
    await tx.objectStore('meta').put(jobs.office, 'office-jobs');
    await tx.objectStore('meta').put(jobs.left, 'left-jobs');
  });
}

/** What the office has and this phone has not. */
export function offered({ here, office, left }: Jobs): Offered[] {
  return office.filter((o) => !here.some((j) => j.job === o.job)).map((o) => ({ job: o.job, title: o.title, left: left.includes(o.job) }));
}

/** The office's list as it is now; a title that it does not know yet takes nothing away. */
export function learnt(jobs: Jobs, office: readonly JobName[]): Jobs {
  const named = (j: JobName): JobName => ({ job: j.job, title: office.find((o) => o.job === j.job)?.title || j.title });
  return { ...jobs, here: jobs.here.map(named), office: office.map((o) => ({ job: o.job, title: o.title || (jobs.office.find((j) => j.job === o.job)?.title ?? '') })) };
}

/** The job is on this phone from now on. */
export function taken(jobs: Jobs, job: string, title = ''): Jobs {
  if (jobs.here.some((j) => j.job === job)) return jobs;
  return { ...jobs, here: [...jobs.here, { job, title: jobs.office.find((o) => o.job === job)?.title || title }], left: jobs.left.filter((l) => l !== job) };
}

/** These stay at the office until somebody takes them. */
export function leftThere(jobs: Jobs, which: readonly string[]): Jobs {
  return { ...jobs, left: [...new Set([...jobs.left, ...which])] };
}

const aside = (job: string) => `of:${job}`;

/** Puts one job out of hand and another in, in one transaction; answers with what is set for the other. */
export async function changeJob(db: Db, from: string, to: string): Promise<Stands> {
  return db.write(['meta', 'drafts'], async (tx) => {
    const meta = tx.objectStore('meta');
    if (from === to) return standsNow(tx);
    const next = ((await meta.get(aside(to))) as Stands | undefined) ?? noStands;
    if (from !== '') await meta.put(await standsNow(tx), aside(from));
    await meta.put(to, 'job');
    await meta.put(next.person, 'person');
    await meta.put(next.last, 'last');
    await meta.put(next.office, 'office');
    await swapDrafts(tx, from, to);
    return next;
  });
}

async function standsNow(tx: Tx): Promise<Stands> {
  const meta = tx.objectStore('meta');
  const [person, last, office] = await Promise.all([meta.get('person'), meta.get('last'), meta.get('office')]);
  return { person: (person as string | undefined) ?? '', last: (last as string | undefined) ?? '', office: office as Stands['office'] };
}

/** How an exchange of a job ended, whether it is in hand or not. */
export async function stood(db: Db, job: string, how: Pick<Stands, 'last' | 'office'>): Promise<void> {
  await db.write(['meta'], async (tx) => {
    const meta = tx.objectStore('meta');
    if ((await meta.get('job')) !== job) {
      await meta.put({ ...noStands, ...((await meta.get(aside(job))) as Stands | undefined), ...how }, aside(job));
      return;
    }
    await meta.put(how.last, 'last');
    await meta.put(how.office, 'office');
  });
}

/** What is half filled in belongs to the job in hand, but for what names its own job, an entry, or none. */
const ofPhone = ['sitting', 'holds', 'waiting-tag', 'matching', 'shot', 'voice', 'recent:', 'looked/'];

async function swapDrafts(tx: Tx, from: string, to: string): Promise<void> {
  const drafts = tx.objectStore('drafts');
  const keys = (await drafts.getAllKeys()).map(String);
  const move = async (key: string, now: string) => {
    const value = await drafts.get(key);
    await drafts.delete(key);
    await drafts.put(value, now);
  };
  const back = `job:${to}:`;
  const away = from === '' ? [] : keys.filter((key) => !key.startsWith('job:') && !ofPhone.some((p) => key.startsWith(p)));
  for (const key of away) await move(key, `job:${from}:${key}`); // first: the two jobs may have one form each for the same place
  for (const key of keys.filter((k) => k.startsWith(back))) await move(key, key.slice(back.length));
}
