// The one voice note in hand: recording goes on wherever one walks in the app,
// and what a dead phone left is offered again.
import { signal } from '@preact/signals';
import type { Of } from '../core/types';
import { dropDraft, keepPhoto, loadDraft, saveDraft, status } from './core';
import { bytesOf, draftKeys, dropHalf, formatOf, halfNote, Recording, type Half, type Means, type Recorded, type TapeMaker } from './recorder';
import { roomFor } from './room';
import { say } from './state';

const means: Means = {
  Tape: (globalThis as { MediaRecorder?: TapeMaker<MediaStream> }).MediaRecorder,
  listen: navigator.mediaDevices === undefined ? undefined : () => navigator.mediaDevices.getUserMedia({ audio: true }),
  now: () => performance.now(),
  after: (ms, run) => { const t = setTimeout(run, ms); return () => clearTimeout(t); },
  drafts: { save: saveDraft, load: loadDraft, drop: dropDraft },
};

/** Whether this phone can record at all; if not, the button is not offered. */
export const canRecord = formatOf(means) !== undefined;

/** What is being recorded, and since when (ms of performance.now). */
export const recording = signal<{ words: string; since: number; stop: () => void } | undefined>(undefined);
/** A note of this or another job that was not finished. */
export const half = signal<Half | undefined>(undefined);
/** What went wrong with the last one, in words. */
export const voiceProblem = signal<string | undefined>(undefined);

/** Looks once, after the app has started, for what a closed or killed page left. */
export async function findHalf(): Promise<void> {
  if (recording.value === undefined) half.value = await halfNote(means.drafts);
}

export async function record(of: Of, words: string): Promise<void> {
  voiceProblem.value = undefined;
  const { job, person } = status.value;
  const tape = await Recording.begin(means, { job, by: person, of, words });
  recording.value = { words, since: performance.now(), stop: () => tape.stop() };
  void tape.done.then(finish, (e: Error) => (voiceProblem.value = e.message)).finally(() => (recording.value = undefined));
}

/** What could not be kept, while the app stays open: a full phone may not have all of it in the drafts. */
let inMemory: Recorded | undefined;

/** Keeps what was recorded; when it cannot be, it stays in the drafts and is offered. */
async function finish(r: Recorded): Promise<void> {
  try {
    if ((await roomFor(r.bytes.byteLength)).short) throw new Error('This phone is nearly full, so the voice note is not kept yet.');
    await keepNote(r);
  } catch (e) {
    voiceProblem.value = (e as Error).message;
    inMemory = r;
    half.value = r.half;
  }
}

async function keepNote({ half: h, bytes }: Recorded): Promise<void> {
  if (h.job !== status.value.job) throw new Error('The voice note belongs to another job: go back to it to keep it.');
  await keepPhoto({ kind: 'voice', body: { of: h.of, seconds: h.seconds }, by: h.by }, bytes, h.type, draftKeys(h));
  say('Voice note saved on this phone.');
}

export async function keepHalf(h: Half): Promise<void> {
  await keepNote({ half: h, bytes: inMemory?.half === h ? inMemory.bytes : await bytesOf(means.drafts, h) });
  half.value = undefined;
  voiceProblem.value = undefined;
}

export async function dropHalfNote(h: Half): Promise<void> {
  await dropHalf(means.drafts, h);
  half.value = undefined;
  voiceProblem.value = undefined;
  say('The voice note was dropped.');
}
