// The hand-in file: what this phone has not handed in, for an office that it
// cannot reach. Its form is in schema/handin.md; the office reads it (T48, T52).
import type { Db } from '../log/db';
import type { Office } from './office';
import { NotOffice, refusal } from './wire';

export const handInType = 'application/vnd.witnessmark.handin+ndjson';

/** Whose file it is; empty where the phone knows nothing. */
export interface Whose { workspace: string; device: string; name: string }

export interface HandIn { file: string; text: string; count: number }

/** Everything of a job that waits, whole and with its check sum. Nothing is marked as sent. */
export async function saveUnsent(db: Db, job: string, log: string, whose: Whose, now: Date): Promise<HandIn> {
  const rows = await db.waiting(job, Infinity);
  const body = rows.map((e) => `${e.raw}\n`).join('');
  const sha256 = hex(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(body)));
  const head = { witnessmark: 'hand-in', v: 1, ...whose, job, log, count: rows.length, sha256 };
  return { file: fileName(whose.name, now), text: `${JSON.stringify(head)}\n${body}`, count: rows.length };
}

/** A name that any computer takes. */
function fileName(name: string, now: Date): string {
  const plain = name.replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '');
  return `hand-in-${plain === '' ? 'phone' : plain}-${now.toISOString().slice(0, 10)}.ndjson`;
}

/** A photo's file: its name says what it is, the office goes by its bytes. */
export function photoFile(p: { sha: string; type: string }): string {
  const kind = p.type.split('/')[1]?.replace('jpeg', 'jpg') ?? '';
  return `photo-${p.sha.slice(0, 12)}.${/^[a-z0-9]+$/.test(kind) ? kind : 'bin'}`;
}

/** What the office did with a file. */
export interface TakenIn { stored: number; held: number; bad: { line: number; why: string }[]; phone: string; revoked: string }

/** Gives a phone's file to the office, byte for byte. */
export async function takeIn(office: Office, job: string, bytes: ArrayBuffer): Promise<TakenIn> {
  const reply = await office.send(`/api/v1/jobs/${job}/handin`, { method: 'POST', headers: { 'Content-Type': handInType }, body: bytes });
  if (!reply.ok) throw await refusal(reply);
  const got = (await reply.json().catch(() => undefined)) as TakenIn | undefined;
  if (typeof got?.stored !== 'number' || !Array.isArray(got.bad)) throw new NotOffice();
  return got;
}

export function hex(b: ArrayBuffer): string {
  return [...new Uint8Array(b)].map((x) => x.toString(16).padStart(2, '0')).join('');
}
