// Recording a voice note. The bytes so far go to the drafts every few seconds,
// so that a phone that dies loses only those since (T3). The format is whatever
// this phone can record (T36); without a recorder there is none to begin with.

/** What a note is about; fixed when it begins, wherever one walks meanwhile. */
export interface About { job: string; by: string; of: unknown; words: string }

/** A note as far as it lies in the drafts. */
export interface Half extends About { type: string; pieces: number; seconds: number }

interface Listening { getTracks(): { stop(): void }[] }

interface Tape {
  readonly mimeType: string;
  readonly state: string;
  ondataavailable: ((e: { data: Blob }) => void) | null;
  onstop: (() => void) | null;
  start(sliceMs: number): void;
  stop(): void;
}

export interface TapeMaker<S> {
  new (stream: S, options: { mimeType: string; audioBitsPerSecond: number }): Tape;
  isTypeSupported(type: string): boolean;
}

export interface Drafts {
  save(key: string, value: unknown): Promise<void>;
  load<T>(key: string): Promise<T | undefined>;
  drop(key: string): Promise<void>;
}

export interface Means<S extends Listening = MediaStream> {
  Tape: TapeMaker<S> | undefined;
  listen: (() => Promise<S>) | undefined;
  now(): number;
  after(ms: number, run: () => void): () => void;
  drafts: Drafts;
}

/** The longest note, in ms. */
export const longest = 5 * 60_000;
/** How often the bytes so far go to the drafts, in ms. */
export const slice = 3_000;
/** Speech in a workshop is understood at this rate; recorders take it as a wish. */
const bitsPerSecond = 32_000;
/** What five minutes may take, in bytes, when a recorder does not heed the wish. */
export const roomForOne = 6 << 20;

/** In the order of preference; the office takes each. */
const formats = ['audio/webm;codecs=opus', 'audio/webm', 'audio/mp4', 'audio/ogg;codecs=opus', 'audio/wav'];

const headKey = 'voice';
const pieceKey = (n: number) => `voice#${n}`;

/** The drafts of a note: what is dropped once it is kept. */
export function draftKeys(half: Half): string[] {
  return [headKey, ...Array.from({ length: half.pieces }, (_, n) => pieceKey(n))];
}

/** The format that this phone records, or undefined when it cannot. */
export function formatOf(means: Pick<Means, 'Tape' | 'listen'>): string | undefined {
  if (means.Tape === undefined || means.listen === undefined) return undefined;
  const { Tape } = means;
  return formats.find((f) => Tape.isTypeSupported(f));
}

/** The note that lies half finished in the drafts. */
export function halfNote(drafts: Drafts): Promise<Half | undefined> {
  return drafts.load<Half>(headKey);
}

/** Its bytes, put together. */
export async function bytesOf(drafts: Drafts, half: Half): Promise<ArrayBuffer> {
  const parts: ArrayBuffer[] = [];
  for (let n = 0; n < half.pieces; n++) {
    const part = await drafts.load<ArrayBuffer>(pieceKey(n));
    if (part !== undefined) parts.push(part);
  }
  return joined(parts);
}

export async function dropHalf(drafts: Drafts, half: Half): Promise<void> {
  for (const key of draftKeys(half)) await drafts.drop(key);
}

function joined(parts: ArrayBuffer[]): ArrayBuffer {
  const out = new Uint8Array(parts.reduce((n, p) => n + p.byteLength, 0));
  let at = 0;
  for (const p of parts) {
    out.set(new Uint8Array(p), at);
    at += p.byteLength;
  }
  return out.buffer;
}

export interface Recorded { half: Half; bytes: ArrayBuffer }

/** One note being recorded. */
export class Recording<S extends Listening = MediaStream> {
  private half: Half;
  private readonly parts: ArrayBuffer[] = [];
  private saving: Promise<void> = Promise.resolve();
  private readonly began: number;
  private readonly cancel: () => void;
  /** Resolves with the whole note when it ended: by a tap, after five minutes, or because the phone took the microphone away. */
  readonly done: Promise<Recorded>;

  private constructor(private readonly means: Means<S>, about: About, private readonly stream: S, private readonly tape: Tape) {
    this.half = { ...about, type: baseType(tape.mimeType), pieces: 0, seconds: 0 };
    tape.ondataavailable = (e) => this.take(e.data);
    this.done = new Promise((resolve, reject) => {
      tape.onstop = () => this.end().then(resolve, reject);
    });
    this.began = means.now();
    tape.start(slice);
    this.cancel = means.after(longest, () => this.stop());
  }

  /** Asks for the microphone and begins. Throws words for the screen. */
  static async begin<S extends Listening>(means: Means<S>, about: About): Promise<Recording<S>> {
    const format = formatOf(means as unknown as Means);
    if (format === undefined || means.Tape === undefined || means.listen === undefined) throw new Error('This phone cannot record sound here: write a note.');
    if ((await halfNote(means.drafts)) !== undefined) throw new Error('A voice note that was broken off still waits: keep or drop it first.');
    const stream = await means.listen().catch((e: unknown) => Promise.reject(new Error(refused(e))));
    try {
      return new Recording(means, about, stream, new means.Tape(stream, { mimeType: format, audioBitsPerSecond: bitsPerSecond }));
    } catch {
      release(stream);
      throw new Error('The recorder could not be started: write a note.');
    }
  }

  stop(): void {
    if (this.tape.state !== 'inactive') this.tape.stop();
  }

  private take(data: Blob): void {
    const seconds = Math.max(1, Math.round((this.means.now() - this.began) / 1000));
    this.saving = this.saving.then(async () => {
      const bytes = await data.arrayBuffer();
      if (bytes.byteLength === 0) return;
      this.parts.push(bytes);
      const half = { ...this.half, pieces: this.parts.length, seconds };
      // A full phone must not end the recording: what it holds in memory is kept at the end.
      await this.means.drafts.save(pieceKey(half.pieces - 1), bytes).then(() => this.means.drafts.save(headKey, half)).catch(() => undefined);
      this.half = half;
    });
  }

  private async end(): Promise<Recorded> {
    this.cancel();
    release(this.stream);
    await this.saving;
    if (this.parts.length === 0) throw new Error('Nothing was recorded. Look whether something covers the microphone, or write a note.');
    return { half: this.half, bytes: joined(this.parts) };
  }
}

function release(stream: Listening): void {
  for (const t of stream.getTracks()) t.stop();
}

function baseType(mime: string): string {
  return mime.split(';')[0]?.trim() ?? mime;
}

function refused(e: unknown): string {
  const name = e instanceof Error ? e.name : '';
  if (name === 'NotFoundError') return 'No microphone was found: write a note.';
  if (name === 'NotAllowedError') return 'This app may not use the microphone. Allow it in the phone\'s settings, or write a note.';
  return 'The microphone is in use by something else. End that, or write a note.';
}
