import { describe, expect, it } from 'vitest';
import type { Need } from '../core/types';
import { begin, emptyField, input } from './workout.form';

const units = [{ code: 'mm', symbol: 'mm' }, { code: 'in', symbol: 'in' }];
const needs: Need[] = [
  { name: 'gap', label: 'gap', kind: 'item', units },
  { name: 'bore', label: 'bore', kind: 'nominal', units },
  { name: 'gap', label: 'allowed', kind: 'limit', optional: true, units },
  { name: 'rule', label: 'rule', kind: 'option', optional: true, units: [] },
];

describe('the form of a calculation', () => {
  it('begins with a row for each input, two for a limit', () => {
    const form = begin(needs);
    expect(Object.values(form).map((rows) => rows.length)).toEqual([1, 1, 2, 1]);
    expect(form['item/gap']?.[0]?.u).toBe('mm');
  });

  it('keeps what was typed before', () => {
    const old = { 'item/gap': [{ ...emptyField('in'), t: '0.012' }, { ...emptyField('in'), t: '0.013' }] };
    expect(begin(needs, old)['item/gap']).toHaveLength(2);
  });

  it.each([
    ['a figure', '0.40', { t: '0.40', u: 'mm' }],
    ['two feelers', '0.30..0.35', { t: '0.30', to: '0.35', u: 'mm' }],
    ['two feelers in words', '0.30 to 0.35', { t: '0.30', to: '0.35', u: 'mm' }],
    ['a bound', 'at most 0.35', { t: '0.35', u: 'mm', is: 'at most' }],
    ['none felt', 'nil', { u: 'mm', is: 'nil' }],
  ])('reads %s', (_, t, v) => {
    const form = { ...begin(needs), 'item/gap': [{ ...emptyField('mm'), t, label: '3', point: 'top' }] };
    expect(input(needs, form)).toMatchObject({ items: { gap: [{ v, label: '3', point: 'top' }] } });
  });

  it('leaves out what was not typed, and takes a limit with one end', () => {
    const form = { ...begin(needs), 'limit/gap': [emptyField('mm'), { ...emptyField('mm'), t: '0.90' }], 'option/rule': [{ ...emptyField(''), t: ' spread ' }] };
    expect(input(needs, form)).toEqual({ items: { gap: [] }, nominal: {}, limits: { gap: { max: { t: '0.90', u: 'mm' }, accepted: true } }, opts: { rule: 'spread' } });
  });
});
