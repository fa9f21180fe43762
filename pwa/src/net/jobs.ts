// The jobs of the office, asked for after an exchange: only when something may
// have changed, and an office that does not answer so changes nothing.
import type { JobName } from '../log/jobs';
import { Away, type Office } from './office';

/** The office's list; undefined when what answered gives none, as an older office. Errors: Away, for which it is worth asking again. */
export async function officeJobs(office: Pick<Office, 'json'>): Promise<JobName[] | undefined> {
  try {
    const { jobs } = await office.json<{ jobs?: unknown }>('/api/v1/jobs', undefined);
    return Array.isArray(jobs) && jobs.every(isJob) ? jobs.map(({ job, title }) => ({ job, title })) : undefined;
  } catch (e) {
    if (e instanceof Away) throw e;
    return undefined;
  }
}

function isJob(j: unknown): j is JobName {
  const { job, title } = (j ?? {}) as Partial<JobName>;
  return typeof job === 'string' && typeof title === 'string';
}

/**
 * When the office is asked for its jobs: once after each start or coming online, and when an exchange names another
 * number of jobs than it listed. A title that it has not worked out yet is asked for again.
 */
export class Asking {
  private due = true;
  private listed = -1;

  /** The phone has started, is seen again, or is online again. */
  again(): void {
    this.due = true;
  }

  /** An exchange said how many jobs there are; undefined from an older office. */
  heard(count: number | undefined): void {
    if (count !== undefined && count !== this.listed) this.due = true;
  }

  /** The list, if it is to be asked for now; undefined if not, if there is none or if nobody answers. */
  async list(office: Pick<Office, 'json'>): Promise<JobName[] | undefined> {
    if (!this.due) return undefined;
    try {
      const jobs = await officeJobs(office);
      this.due = jobs?.some((j) => j.title === '') ?? false;
      if (jobs !== undefined) this.listed = jobs.length;
      return jobs;
    } catch {
      return undefined; // still due: the next exchange asks again
    }
  }
}
