// What a tag's code holds: a short address of our own origin. It names the job
// by its first letters and the thing itself, never the side that it is on.
import { dropDraft, loadDraft, saveDraft } from './core';
import { href, type Route } from './state';

/** How much of a job's name a tag holds: enough to tell jobs apart, short enough for a small code. */
const jobLetters = 8;

/** The address that is printed. */
export function addressOf(origin: string, job: string, thing: Record<string, string>): string {
  return `${origin}/${href('t', { ...thing, j: job.slice(0, jobLetters) })}`;
}

export interface Tag { job: string; args: { asm: string; at: string; part: string; stand: string } }

/** What the address of a tag says. */
export function tagOf(r: Route): Tag {
  return { job: r['j'] ?? '', args: { asm: r['a'] ?? '', at: r['p'] ?? '', part: r['t'] ?? '', stand: r['s'] ?? '' } };
}

/** The way to a tag in an address that was pasted, or typed by a hand scanner. */
export function wayIn(text: string): string | undefined {
  const at = text.indexOf('#/t?');
  return at < 0 ? undefined : text.slice(at).trim();
}

const waiting = 'waiting-tag';

/** Keeps a tag that was scanned before the phone was paired. */
export async function keepWaitingTag(): Promise<void> {
  const way = wayIn(location.hash);
  if (way !== undefined) await saveDraft(waiting, way);
}

/** The tag that waited for pairing, once. */
export async function takeWaitingTag(): Promise<string | undefined> {
  const way = await loadDraft<string>(waiting);
  if (way !== undefined) await dropDraft(waiting);
  return way;
}
