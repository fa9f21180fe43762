import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { emptyPad, finished, press, written } from './pad';

const typed = (keys: string, u = 'mm') => [...keys].reduce((s, k) => press(s, k), emptyPad(u));

describe('the pad', () => {
  it.each([
    ['digits and point', '74.981', { t: '74.981', u: 'mm' }],
    ['a comma is a point', '74,98', { t: '74.98', u: 'mm' }],
    ['one point only', '7.4.9', { t: '7.49', u: 'mm' }],
    ['a mixed fraction', '3 1/2', { t: '3 1/2', u: 'mm' }],
    ['nothing before the point', '.5', { t: '.5', u: 'mm' }],
    ['at most', '0.04<', { t: '0.04', u: 'mm', is: 'at most' }],
    ['at least, taken back', '0.04>>', { t: '0.04', u: 'mm' }],
  ])('%s', (_, keys, want) => expect(written(typed(keys))).toEqual(want));

  it('between two values', () => {
    const s = press(press(press(typed('0.30'), 'to'), '0'), '.');
    expect(written(press(press(s, '3'), '5'))).toEqual({ t: '0.30', to: '0.35', u: 'mm' });
  });
  it('changes the sign and back', () => {
    expect(press(typed('0.31'), 'sign').t).toBe('−0.31');
    expect(press(press(typed('0.31'), 'sign'), 'sign').t).toBe('0.31');
  });
  it('none felt clears the figures', () => expect(written(press(typed('12'), 'nil'))).toEqual({ u: 'mm', is: 'nil' }));
  it('deletes figure by figure', () => expect(press(typed('74.9'), 'back').t).toBe('74.'));
  it('three digits finish the leading ones', () => {
    expect(finished(typed('981'), '74.', 'mm').t).toBe('74.981');
    expect(finished(typed('98'), '74.', 'mm').t).toBe('98');
    expect(finished(typed('74.981'), '74.', 'mm').t).toBe('74.981');
    expect(finished(typed('981', 'in'), '74.', 'mm').t).toBe('981');
  });
  it('can type every text that the core reads (the shared vectors)', () => {
    const file = JSON.parse(readFileSync(new URL('../../../testdata/vectors/quantity.json', import.meta.url), 'utf8')) as { cases: { t?: string; u: string; to?: string; is?: string; error?: string }[] };
    let n = 0;
    for (const c of file.cases) {
      if (c.error !== undefined || c.t === undefined || c.to !== undefined || c.is !== undefined || /[\s+]$|^\s|\+/.test(c.t) || c.t.includes('\u00a0')) continue;
      const minus = /^[-−]/.test(c.t);
      let s = typed(c.t.replace(/^[-−]/, ''), c.u);
      if (minus) s = press(s, 'sign');
      expect(written(s).t?.replace('−', '-')).toBe(c.t.replace('−', '-').replace(',', '.'));
      n++;
    }
    expect(n).toBeGreaterThan(10);
  });
});
