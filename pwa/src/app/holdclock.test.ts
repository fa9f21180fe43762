import { describe, expect, it } from 'vitest';
import { basis, doubts, holdClock, seconds, span, type Count, type Look } from './holdclock';

const minute = 60_000;

/** A phone with a store and two clocks that the test sets. */
class Phone {
  mono = 5_000;
  wall = Date.parse('2027-04-09T17:00:00+00:00');
  life = 1;
  shown = true;
  stored: string | undefined;
  clock = this.fresh();

  private fresh() {
    return holdClock({
      look: (): Look => ({ mono: this.mono, wall: this.wall, life: String(this.life), shown: this.shown }),
      load: async () => (this.stored === undefined ? undefined : (JSON.parse(this.stored) as Record<string, Count>)),
      save: async (counts) => void (this.stored = JSON.stringify(counts)),
    });
  }
  begin() {
    this.clock.begin('t', this.clock.look());
  }
  /** Time goes by; asleep, the page's own clock stands still. */
  pass(ms: number, asleep = false) {
    this.wall += ms;
    if (!asleep) this.mono += ms;
  }
  show(shown: boolean) {
    this.shown = shown;
    this.clock.look();
  }
  async reload() {
    this.life++;
    this.mono = 12;
    this.shown = true;
    this.clock = this.fresh();
    await this.clock.open();
  }
  read(at = '2027-04-09T17:00:00+00:00') {
    return this.clock.of('t', at);
  }
}

function says(c: Count): string {
  return [...doubts(c), ...basis(c)].join(' ');
}

describe('how long it was held', () => {
  it('while the page lives: by its own clock, with nothing to say', () => {
    const p = new Phone();
    p.begin();
    for (let i = 0; i < 900; i++) {
      p.pass(1000);
      p.read();
    }
    expect(seconds(p.read())).toBe(900);
    expect(says(p.read())).toBe('');
  });

  it('asleep out of sight, its own clock standing still', () => {
    const p = new Phone();
    p.begin();
    p.pass(minute);
    p.show(false);
    p.pass(13 * minute, true);
    p.show(true);
    p.pass(minute);
    expect(seconds(p.read())).toBe(15 * 60);
    expect(doubts(p.read())).toEqual([]);
    expect(basis(p.read())).toEqual(['13 min 00 s of it by the clock of this phone alone: it slept, or the app was closed.']);
  });

  it('asleep, its own clock going on', () => {
    const p = new Phone();
    p.begin();
    p.show(false);
    p.pass(14 * minute);
    p.show(true);
    p.pass(minute);
    expect([seconds(p.read()), says(p.read())]).toEqual([900, '']);
  });

  it('across a reload and a closed app', async () => {
    const p = new Phone();
    p.begin();
    p.pass(2 * minute);
    await p.reload();
    expect(p.clock.own('t')).toBe(true);
    p.pass(3 * minute);
    expect(seconds(p.read())).toBe(300);
    p.pass(10 * minute);
    await p.reload();
    expect(seconds(p.read())).toBe(900);
    expect(doubts(p.read())).toEqual([]);
  });

  it('the clock put forward while one looks on: not counted, and said', () => {
    const p = new Phone();
    p.begin();
    p.pass(5 * minute);
    p.wall += 60 * minute;
    p.read();
    p.pass(10 * minute);
    expect(seconds(p.read())).toBe(900);
    expect(says(p.read())).toBe('The clock of this phone was put forward by 1 h 00 min 00 s meanwhile; that is not counted.');
  });

  it('the clock set back, in sight or out of it', () => {
    for (const hidden of [false, true]) {
      const p = new Phone();
      p.begin();
      p.pass(5 * minute);
      if (hidden) p.show(false);
      p.wall -= 40 * minute;
      p.pass(minute);
      if (hidden) p.show(true);
      p.pass(9 * minute);
      expect(seconds(p.read())).toBe(900);
      expect(says(p.read())).toBe('The clock of this phone was put back by 40 min 00 s meanwhile; that is not counted.');
    }
  });

  it('forward and back again is two changes', () => {
    const p = new Phone();
    p.begin();
    p.wall += minute;
    p.read();
    p.wall -= minute;
    expect(doubts(p.read())).toHaveLength(2);
  });

  it('what was seen of the clock outlives a reload', async () => {
    const p = new Phone();
    p.begin();
    p.pass(minute);
    p.wall += 60 * minute;
    p.read();
    await p.reload();
    p.pass(minute);
    expect(seconds(p.read())).toBe(120);
    expect(says(p.read())).toContain('put forward by 1 h');
  });

  it('the clock set back while the app was closed: too short, and said', async () => {
    const p = new Phone();
    p.begin();
    p.pass(5 * minute);
    p.show(false);
    p.wall -= 30 * minute;
    await p.reload();
    p.pass(minute);
    expect(seconds(p.read())).toBe(360);
    expect(says(p.read())).toBe('The clock of this phone stands earlier than it did: the count is too short.');
  });

  it('two clocks that drift apart by less than two seconds say nothing', () => {
    const p = new Phone();
    p.begin();
    p.pass(15 * minute);
    p.wall += 1900;
    expect([seconds(p.read()), says(p.read())]).toEqual([900, '']);
  });

  it('begun on another phone: from the time on the start, and said', async () => {
    const p = new Phone();
    p.pass(7 * minute);
    expect(p.clock.own('t')).toBe(false);
    expect(seconds(p.read())).toBe(420);
    expect(p.clock.own('t')).toBe(false);
    expect(says(p.read())).toContain('two clocks may differ');
    p.pass(minute);
    await p.reload();
    expect(seconds(p.read())).toBe(480);
    p.clock.forget('t');
    expect(seconds(p.read('2027-04-09T18:00:00+00:00'))).toBe(1);
    expect(says(p.read())).toContain('too short');
  });

  it('put right by another clock: it goes on from there, through a reload, and says so', async () => {
    const p = new Phone();
    p.pass(7 * minute);
    p.read();
    p.clock.right('t', 14 * minute);
    p.pass(minute);
    await p.reload();
    expect(seconds(p.read())).toBe(900);
    expect(says(p.read())).toContain('The time was put right by hand, by another clock.');
  });

  it('rings once, also after a reload', async () => {
    const p = new Phone();
    p.begin();
    expect(p.clock.rang('t')).toBe(true);
    expect(p.clock.rang('t')).toBe(false);
    await p.reload();
    expect(p.clock.rang('t')).toBe(false);
    expect(p.clock.rang('other')).toBe(false);
  });
});

it.each([[900, '0 s'], [59_999, '59 s'], [903_000, '15 min 03 s'], [3_723_000, '1 h 02 min 03 s'], [-61_000, '1 min 01 s']])('%d ms is %s', (ms, want) => expect(span(ms)).toBe(want));
