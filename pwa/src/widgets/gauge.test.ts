// The reader of gauges that type, with a clock of its own (T63).
import { describe, expect, it } from 'vitest';
import { burstGap, GaugeReader, readSent, restGap, type Heard } from './gauge';

/** Strikes keys with a gap between them; `at` goes on from call to call. */
class Hand {
  at = 1000;
  readonly heard: Heard[] = [];
  constructor(readonly reader = new GaugeReader()) {}

  strike(text: string, gap: number, end = ''): this {
    for (const key of [...text, ...(end === '' ? [] : [end])]) {
      this.note(this.reader.key(key, this.at));
      this.at += gap;
    }
    return this;
  }

  wait(ms: number): this {
    this.at += ms;
    this.note(this.reader.quiet(this.at));
    return this;
  }

  private note(h: Heard): void {
    if (h.what !== 'nothing') this.heard.push(h);
  }
}

const burst = (text: string): Heard => ({ what: 'burst', text });
const half = (text: string): Heard => ({ what: 'half', text });

describe('a gauge that types', () => {
  it('at zero delay, ended by Enter or by Tab', () => {
    expect(new Hand().strike('12.34', 0, 'Enter').heard).toEqual([burst('12.34')]);
    expect(new Hand().strike('12.34', 0, 'Tab').heard).toEqual([burst('12.34')]);
    expect(new Hand().strike('12.34', burstGap, 'Enter').heard).toEqual([burst('12.34')]);
  });
  it('two in a row never join', () => {
    expect(new Hand().strike('12.34', 0, 'Enter').strike('56.78', 0, 'Enter').heard).toEqual([burst('12.34'), burst('56.78')]);
  });
  it('half a value is told and not taken', () => {
    expect(new Hand().strike('12.3', 5).wait(200).heard).toEqual([half('12.3')]);
  });
  it('the rest of a cut value is not taken for a value', () => {
    const h = new Hand().strike('12.', 5).wait(200).strike('34', 5, 'Enter');
    expect(h.heard).toEqual([half('12.'), half('34')]);
    h.wait(10).strike('12.34', 5, 'Enter');
    expect(h.heard.at(-1)).toEqual(burst('12.34'));
  });
  it('one figure cut off in front spoils the rest too', () => {
    expect(new Hand().strike('1', 0).wait(burstGap + 1).strike('2.34', 0, 'Enter').heard).toEqual([half('2.34')]);
  });
  it('a value that follows long after something unfinished is whole again', () => {
    expect(new Hand().strike('1', 0).wait(restGap + 1).strike('12.34', 0, 'Enter').heard).toEqual([burst('12.34')]);
    const late = new Hand().strike('12.', 5).wait(restGap + 100).strike('12.34', 5, 'Enter');
    expect(late.heard).toEqual([half('12.'), burst('12.34')]);
  });
  it('a page that was held up tells a half too early, and still does not take its rest', () => {
    const r = new GaugeReader();
    for (const k of '12.') r.key(k, 100);
    expect(r.quiet(500)).toEqual(half('12.'));
    expect([r.key('3', 110), r.key('4', 110), r.key('Enter', 110)].filter((h) => h.what === 'burst')).toEqual([]);
  });
  it("a person's typing is none", () => {
    const h = new Hand().strike('12.34', 90, 'Enter').wait(500);
    expect(h.heard).toEqual([]);
    expect(new Hand().strike('', 0, 'Enter').heard).toEqual([]);
    expect(new Hand().strike('12', 30).wait(400).heard).toEqual([]); // two fingers almost at once
  });
  it('keys that write nothing neither break nor end it', () => {
    const r = new GaugeReader();
    const got = ['Shift', '1', 'Shift', '2', 'NumLock', 'Enter'].map((k) => r.key(k, 5));
    expect(got.at(-1)).toEqual(burst('12'));
  });
  it('a burst without end is not kept in memory without end', () => {
    expect(new Hand().strike('9'.repeat(400), 0, 'Enter').heard.some((h) => h.what === 'burst')).toBe(false);
  });
});

describe('the value in a burst', () => {
  const good: [string, ReturnType<typeof readSent>][] = [
    ['12.34', { t: '12.34' }], ['12,34', { t: '12.34' }], ['+12.340', { t: '12.340' }], ['-0.02', { t: '−0.02' }], ['0.02-', { t: '−0.02' }],
    ['−0,02', { t: '−0.02' }], ['12.34mm', { t: '12.34', u: 'mm' }], ['12.34 MM', { t: '12.34', u: 'mm' }], ['2.4981in', { t: '2.4981', u: 'in' }],
    ['2.4981"', { t: '2.4981', u: 'in' }], ['2.4981 inch', { t: '2.4981', u: 'in' }], ['0.02 mm-', { t: '−0.02', u: 'mm' }], ['0.02- mm', { t: '−0.02', u: 'mm' }],
    [' .5', { t: '.5' }], ['0.00', { t: '0.00' }], ['  012.30', { t: '012.30' }],
  ];
  for (const [text, want] of good) it(`"${text}"`, () => expect(readSent(text)).toEqual(want));
  for (const text of ['', '-', '1.234,5', '12.34 lb', 'AB-1234', '12..3', '-1-', '+1-', '12 34', 'mm', '.', '1e3']) {
    it(`"${text}" is none`, () => expect(readSent(text)).toBeUndefined());
  }
});
