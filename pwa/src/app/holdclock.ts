// How long something was held, told by a phone that sleeps, is closed, and
// whose clock may be set meanwhile. Nothing here asks for the time: every look
// at the clocks is handed in.

/**
 * One look at the phone's two clocks. The page's own (mono, ms) cannot be set,
 * but ends with the page and may stand still while the phone sleeps. The wall
 * clock (ms) goes on for ever, but can be set.
 */
export interface Look { mono: number; wall: number; life: string; shown: boolean }

/** What was counted up to a look, and on what the count rests. */
export interface Count {
  ms: number;
  look: Look;
  /** By the wall clock alone: the phone slept, or the app was closed. */
  byWall: number;
  /** By how much the wall clock was set while the page looked on, each time. */
  set: number[];
  /** The wall clock stands before the time at which the app was closed. */
  back: boolean;
  /** Counted from the time written on the start, perhaps by another phone. */
  stamped: boolean;
  /** Somebody put the count right, by another clock. */
  righted?: boolean;
  rung?: boolean;
}

/** Both clocks may differ by this much, in ms, before it is called a change. */
const tolerance = 2000;

export const begin = (look: Look): Count => ({ ms: 0, look, byWall: 0, set: [], back: false, stamped: false });

/** A test that this phone has not counted from its beginning. */
export function fromStamp(at: string, look: Look): Count {
  const gone = look.wall - Date.parse(at);
  return { ...begin(look), ms: Math.max(0, gone), back: gone < 0, stamped: true };
}

/**
 * The count up to now. While the page lives its own clock counts; across a
 * reload, and as far as that clock stood still out of sight, the wall clock.
 */
export function counted(c: Count, now: Look): Count {
  const wall = now.wall - c.look.wall;
  if (now.life !== c.look.life) {
    const gone = Math.max(0, wall);
    return { ...c, look: now, ms: c.ms + gone, byWall: c.byWall + gone, back: c.back || wall < 0 };
  }
  const mono = now.mono - c.look.mono;
  const off = wall - mono;
  const slept = !c.look.shown && off > 0 ? off : 0;
  const set = slept === 0 && Math.abs(off) > tolerance ? [...c.set, off] : c.set;
  return { ...c, look: now, ms: c.ms + mono + slept, byWall: c.byWall + slept, set };
}

/** Whether the count rests on something else than before, so that it must be kept. */
export function turned(before: Count, after: Count): boolean {
  return before.look.life !== after.look.life || before.look.shown !== after.look.shown || before.set.length !== after.set.length || before.back !== after.back;
}

/** Whole seconds, as they are kept. */
export const seconds = (c: Count): number => Math.max(1, Math.floor(c.ms / 1000));

/** A time as people say it: 15 min 03 s. */
export function span(ms: number): string {
  const s = Math.floor(Math.abs(ms) / 1000);
  const two = (n: number) => String(n).padStart(2, '0');
  if (s < 60) return `${s} s`;
  if (s < 3600) return `${Math.floor(s / 60)} min ${two(s % 60)} s`;
  return `${Math.floor(s / 3600)} h ${two(Math.floor(s / 60) % 60)} min ${two(s % 60)} s`;
}

/** What stands beside the figure when it may be wrong: each in a sentence. */
export function doubts(c: Count): string[] {
  const out = c.set.map((by) => `The clock of this phone was put ${by > 0 ? 'forward' : 'back'} by ${span(Math.round(by / 1000) * 1000)} meanwhile; that is not counted.`);
  if (c.back) out.push('The clock of this phone stands earlier than it did: the count is too short.');
  if (c.righted === true) out.push('The time was put right by hand, by another clock.');
  if (c.stamped) out.push('Counted from the time written on the start. If another phone wrote it, the two clocks may differ.');
  return out;
}

/** On what the count rests, where that is the wall clock. */
export function basis(c: Count): string[] {
  return c.byWall > tolerance ? [`${span(c.byWall)} of it by the clock of this phone alone: it slept, or the app was closed.`] : [];
}

export interface Means {
  look(): Look;
  load(): Promise<Record<string, Count> | undefined>;
  save(counts: Record<string, Count>): Promise<void>;
}

export interface HoldClock {
  /** Brings back what was counted before the page was closed. */
  open(): Promise<void>;
  /** Looks at the clocks; when the page is hidden or shown, at every one. */
  look(): Look;
  begin(id: string, at: Look): void;
  /** The count of a test up to now; one that is not known is counted from its start as written. */
  of(id: string, at: string): Count;
  /** Whether this phone counted the test from its beginning. */
  own(id: string): boolean;
  /** Says that it rang: true the first time. */
  rang(id: string): boolean;
  /** Puts a count right: so much it is now, by a clock that is believed. */
  right(id: string, ms: number): void;
  forget(id: string): void;
}

export function holdClock(means: Means): HoldClock {
  let counts: Record<string, Count> = {};
  const put = (id: string, c: Count) => {
    counts = { ...counts, [id]: c };
    void means.save(counts);
  };
  const look = () => {
    const now = means.look();
    for (const [id, c] of Object.entries(counts)) {
      const next = counted(c, now);
      if (turned(c, next)) put(id, next);
    }
    return now;
  };
  return {
    async open() {
      counts = { ...(await means.load()), ...counts };
      look();
    },
    look,
    begin: (id, at) => put(id, begin(at)),
    of(id, at) {
      const now = means.look();
      const c = counts[id];
      const next = c === undefined ? fromStamp(at, now) : counted(c, now);
      if (c === undefined || turned(c, next)) put(id, next);
      return next;
    },
    own: (id) => counts[id]?.stamped === false,
    rang(id) {
      const c = counts[id];
      if (c === undefined || c.rung === true) return false;
      put(id, { ...c, rung: true });
      return true;
    },
    right: (id, ms) => put(id, { ...begin(means.look()), ms, righted: true }),
    forget(id) {
      const { [id]: _, ...rest } = counts;
      counts = rest;
      void means.save(counts);
    },
  };
}
