// The exchange's wire form, and the check that a reply is the office's (T17).
export const mediaType = 'application/vnd.witnessmark.exchange+ndjson';

export interface Cursor { epoch: string; pos: number; digest: string }
export interface Lease { current: string; next: string }

export interface RequestHead {
  v: 1; lease?: Lease; log?: string; cursor?: Cursor; holds: Record<string, number>; count: number; digest: string; limit: number; lines: number; time: string;
  /** How this phone stands when this request is through, for the lead's list. */
  phone: { app: string; core: string; unsent: number; photos: number };
}

export interface ReplyHead {
  v: number; server: string; workspace: string; job: string; status: 'ok' | 'start again' | 'new log'; stored: number; held: number;
  bad: { line: number; why: string }[]; heads: Record<string, { seq: number; id: string; forked?: boolean }>; cursor: Cursor; lines?: number; more: boolean;
  count: number; digest: string; results?: { pos: number; digest: string; core: string }; time: string;
  /** How many jobs the office has; an older one does not say. */
  jobs?: number;
}

/** Something answered that is not the office this phone is paired with. */
export class NotOffice extends Error {
  constructor() {
    super('That network answered, but not the office. Nothing was handed over; all is still on this phone.');
  }
}

/** The office answered and said no. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    says: string,
  ) {
    super(says);
  }
}

/** Nobody answered in time, or the line was cut. */
export class Away extends Error {
  constructor() {
    super('The office cannot be reached. All is on this phone.');
  }
}

/** The office's words for a refusal; a reply of another form is not the office's. */
export async function refusal(reply: Response): Promise<Error> {
  try {
    const got = (await reply.json()) as { error?: { code?: string; says?: string } };
    if (typeof got.error?.code === 'string' && typeof got.error.says === 'string') return new Refused(reply.status, got.error.code, got.error.says);
  } catch {
    // Not JSON: not the office.
  }
  return new NotOffice();
}

export interface Page { head: ReplyHead; lines: string[] }

/** Reads a reply whole before anything of it counts: half a page is no page. */
export async function readReply(reply: Response, expect: { server: string; workspace: string; job: string }): Promise<Page> {
  if (reply.redirected || reply.status !== 200) throw reply.redirected ? new NotOffice() : await refusal(reply);
  if ((reply.headers.get('Content-Type') ?? '').split(';')[0]?.trim() !== mediaType) throw new NotOffice();
  const text = await reply.text();
  const lines = text.split('\n');
  if (lines.pop() !== '') throw new Away(); // cut off
  let head: ReplyHead;
  try {
    head = JSON.parse(lines.shift() ?? '') as ReplyHead;
  } catch {
    throw new NotOffice();
  }
  const ours = head.v === 1 && head.server === expect.server && head.workspace === expect.workspace && head.job === expect.job;
  if (!ours) throw new NotOffice();
  // A cut that falls on the end of a line looks whole; the head says how many lines there are. An older office does not.
  if (head.lines !== undefined && head.lines !== lines.length) throw new Away();
  return { head, lines };
}
