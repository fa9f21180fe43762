// A phone whose store was cleared while its cookie still opens the office's
// door (T6): what the office knows of it, and how it goes on. It begins new
// logs, each naming the head that it continues; no number is used again.
import type { Db } from '../log/db';
import type { JobName } from '../log/jobs';
import type { Head } from '../log/log';
import type { Office } from '../net/office';
import type { Lost, Status } from './protocol';

/** What the office says of the phone that asks. */
export interface Known {
  device: string;
  name: string;
  role: Status['role'];
  workspace: string;
  server: string;
  jobs: JobName[];
  logs: { job: string; log: string; seq: number; id: string; at: string }[];
}

/** Asks the office; undefined when it does not know this phone, or cannot be asked now. */
export async function askOffice(net: Office): Promise<Known | undefined> {
  try {
    const got = await net.json<Known>('/api/v1/device', undefined);
    return typeof got.device === 'string' && typeof got.server === 'string' && Array.isArray(got.logs) && Array.isArray(got.jobs) ? got : undefined;
  } catch {
    return undefined;
  }
}

export function lostOf(k: Known): Lost {
  return {
    name: k.name,
    entries: k.logs.reduce((n, l) => n + l.seq, 0),
    since: k.logs[k.logs.length - 1]?.at ?? '',
  };
}

/** Takes up what the office knows, in one transaction; answers with the job that was written last, or the only one, or '': then somebody is asked. A log begun since stays. */
export async function takeUp(db: Db, k: Known, workshop: boolean, random: () => string): Promise<string> {
  await db.write(['meta'], async (tx) => {
    const meta = tx.objectStore('meta');
    await meta.put({ device: k.device, workspace: k.workspace, server: k.server, role: k.role, name: k.name, workshop }, 'device');
    await meta.put(k.jobs.filter((j) => k.logs.some((l) => l.job === j.job)), 'jobs');
    await meta.put(k.jobs, 'office-jobs');
    const newest = new Map(k.logs.map((l) => [l.job, l.id])); // the last one wins: they come oldest first
    for (const [job, continues] of newest) {
      if ((await meta.get(`log:${job}`)) !== undefined) continue;
      await meta.put({ log: random(), seq: 0, prev: '', continues } satisfies Head, `log:${job}`);
    }
  });
  return k.logs[k.logs.length - 1]?.job ?? only(k.jobs);
}

/** The one job that there is; '' when there is none, or somebody must choose. */
export const only = (jobs: readonly JobName[]): string => (jobs.length === 1 ? (jobs[0]?.job ?? '') : '');
