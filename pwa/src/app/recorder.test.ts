import { beforeEach, describe, expect, it } from 'vitest';
import { bytesOf, draftKeys, dropHalf, formatOf, halfNote, longest, Recording, type Drafts, type Means, type TapeMaker } from './recorder';

const about = { job: 'j', by: 'pell', of: { asm: '2123', at: 'pin.4.journal' }, words: '2123, pin 4' };

/** A microphone that counts who still holds it. */
class Mic {
  open = 0;
  listen = async () => {
    this.open++;
    return { getTracks: () => [{ stop: () => void this.open-- }] };
  };
}
type Stream = Awaited<ReturnType<Mic['listen']>>;

/** A recorder that hands out bytes when it is told to. */
class FakeTape {
  static knows: string[] = [];
  static last: FakeTape;
  static isTypeSupported = (t: string) => FakeTape.knows.includes(t);
  state = 'inactive';
  ondataavailable: ((e: { data: Blob }) => void) | null = null;
  onstop: (() => void) | null = null;
  readonly mimeType: string;
  constructor(_: Stream, o: { mimeType: string }) {
    this.mimeType = o.mimeType;
    FakeTape.last = this;
  }
  start() { this.state = 'recording'; }
  give(...bytes: number[]) { this.ondataavailable?.({ data: new Blob([new Uint8Array(bytes)]) }); }
  stop() {
    this.state = 'inactive';
    this.give(9);
    this.onstop?.();
  }
}

let stored: Map<string, unknown>;
let full: boolean;
let clock: number;
let alarms: { ms: number; run: () => void }[];
let mic: Mic;
let means: Means<Stream>;

const drafts: Drafts = {
  save: async (k, v) => {
    if (full) throw new Error('this phone is full');
    stored.set(k, structuredClone(v));
  },
  load: async <T>(k: string) => stored.get(k) as T | undefined,
  drop: async (k) => void stored.delete(k),
};

beforeEach(() => {
  stored = new Map();
  full = false;
  clock = 0;
  alarms = [];
  mic = new Mic();
  FakeTape.knows = ['audio/webm;codecs=opus'];
  means = {
    Tape: FakeTape as TapeMaker<Stream>, listen: mic.listen, now: () => clock, drafts,
    after: (ms, run) => { alarms.push({ ms, run }); return () => { alarms = alarms.filter((a) => a.run !== run); }; },
  };
});

const bytes = (b: ArrayBuffer) => [...new Uint8Array(b)];

/** The draft has taken up what was given. */
async function drafted(pieces: number): Promise<void> {
  while ((await halfNote(drafts))?.pieces !== pieces) await Promise.resolve();
}

describe('a voice note', () => {
  it('is what was said from the first tap to the second', async () => {
    const r = await Recording.begin(means, about);
    FakeTape.last.give(1, 2);
    FakeTape.last.give(3);
    clock = 12_400;
    r.stop();
    const got = await r.done;
    expect(bytes(got.bytes)).toEqual([1, 2, 3, 9]);
    expect(got.half).toEqual({ ...about, type: 'audio/webm', pieces: 3, seconds: 12 });
    expect(mic.open).toBe(0);
    expect(alarms).toEqual([]);
  });
  it('is recorded in the one format that the phone has (T36)', async () => {
    for (const [knows, type] of [['audio/mp4', 'audio/mp4'], ['audio/webm', 'audio/webm'], ['audio/ogg;codecs=opus', 'audio/ogg']] as const) {
      stored.clear();
      FakeTape.knows = [knows];
      const r = await Recording.begin(means, about);
      r.stop();
      expect((await r.done).half.type).toBe(type);
    }
  });
  it('is not offered where nothing can record it', () => {
    const has = (m: object) => formatOf({ ...means, ...m } as unknown as Means);
    expect(has({})).toBe('audio/webm;codecs=opus');
    expect(has({ Tape: undefined })).toBeUndefined();
    expect(has({ listen: undefined })).toBeUndefined();
    FakeTape.knows = ['audio/amr'];
    expect(has({})).toBeUndefined();
  });
  it('killed while recording, it loses only what came since the last piece (T3)', async () => {
    await Recording.begin(means, about);
    clock = 3_000;
    FakeTape.last.give(1, 2);
    await drafted(1);
    clock = 6_000;
    FakeTape.last.give(3, 4);
    await drafted(2);
    // Killed here: nothing but the drafts is left.
    const half = await halfNote(drafts);
    expect(half).toEqual({ ...about, type: 'audio/webm', pieces: 2, seconds: 6 });
    if (half === undefined) return;
    expect(bytes(await bytesOf(drafts, half))).toEqual([1, 2, 3, 4]);
    expect(draftKeys(half)).toEqual([...stored.keys()].sort());
    await dropHalf(drafts, half);
    expect(stored.size).toBe(0);
  });
  it('ends by itself after five minutes', async () => {
    const r = await Recording.begin(means, about);
    expect(alarms.map((a) => a.ms)).toEqual([longest]);
    clock = longest;
    alarms[0]?.run();
    expect((await r.done).half.seconds).toBe(300);
  });
  it('on a full phone goes on, and is whole at the end', async () => {
    full = true;
    const r = await Recording.begin(means, about);
    FakeTape.last.give(1);
    FakeTape.last.give(2);
    r.stop();
    expect(bytes((await r.done).bytes)).toEqual([1, 2, 9]);
  });
  it('does not write over one that was broken off', async () => {
    stored.set('voice', { ...about, type: 'audio/webm', pieces: 0, seconds: 1 });
    await expect(Recording.begin(means, about)).rejects.toThrow('keep or drop it first');
    expect(mic.open).toBe(0);
  });
  it('says what to do when the microphone is refused', async () => {
    const refuse = (name: string) => ({ ...means, listen: () => Promise.reject(Object.assign(new Error(name), { name })) });
    await expect(Recording.begin(refuse('NotAllowedError'), about)).rejects.toThrow('Allow it');
    await expect(Recording.begin(refuse('NotFoundError'), about)).rejects.toThrow('write a note');
  });
  it('of nothing is no note', async () => {
    const r = await Recording.begin(means, about);
    FakeTape.last.give = () => undefined;
    r.stop();
    await expect(r.done).rejects.toThrow('Nothing was recorded');
  });
});
