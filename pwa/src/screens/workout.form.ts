// The form of a calculation on typed figures: what stands in each field, and
// the input that the core takes.
import type { Need, Written } from '../core/types';

export interface Field { label: string; point: string; t: string; to: string; u: string }
/** By 'kind/name': the rows of readings, one row for a size, two for a limit, one text for an option. */
export type Form = Record<string, Field[]>;

export const keyOf = (n: Need): string => `${n.kind}/${n.name}`;

export const emptyField = (u: string): Field => ({ label: '', point: '', t: '', to: '', u });

/** A form with a row for everything that must go in. */
export function begin(needs: Need[], old: Form = {}): Form {
  const form: Form = {};
  for (const n of needs) {
    const rows = n.kind === 'limit' ? 2 : 1;
    const kept = old[keyOf(n)] ?? [];
    form[keyOf(n)] = kept.length >= rows ? kept : Array.from({ length: rows }, () => emptyField(n.units[0]?.code ?? ''));
  }
  return form;
}

function written(f: Field): Written | undefined {
  const t = f.t.trim();
  if (t === '') return undefined;
  for (const is of ['at least', 'at most'] as const) {
    if (t.startsWith(is)) return { t: t.slice(is.length).trim(), u: f.u, is };
  }
  if (t === 'nil') return { u: f.u, is: 'nil' };
  const [low, high] = t.split(/\s*(?:\.\.|\bto\b)\s*/);
  return high === undefined || high === '' ? { t: low ?? t, u: f.u } : { t: low ?? '', to: high, u: f.u };
}

/** What the core takes: readings, sizes, limits, options. A limit typed here counts as accepted: it judges nothing but this. */
export function input(needs: Need[], form: Form): Record<string, unknown> {
  const items: Record<string, unknown[]> = {};
  const nominal: Record<string, Written> = {};
  const limits: Record<string, Record<string, unknown>> = {};
  const opts: Record<string, string> = {};
  for (const n of needs) {
    const rows = form[keyOf(n)] ?? [];
    const first = rows[0];
    switch (n.kind) {
      case 'item':
        items[n.name] = rows.flatMap((f) => {
          const v = written(f);
          return v === undefined ? [] : [{ v, ...(f.label === '' ? {} : { label: f.label }), ...(f.point === '' ? {} : { point: f.point }) }];
        });
        break;
      case 'nominal': {
        const v = first === undefined ? undefined : written(first);
        if (v !== undefined) nominal[n.name] = v;
        break;
      }
      case 'limit': {
        const [min, max] = [rows[0], rows[1]].map((f) => (f === undefined ? undefined : written(f)));
        if (min !== undefined || max !== undefined) limits[n.name] = { ...(min === undefined ? {} : { min }), ...(max === undefined ? {} : { max }), accepted: true };
        break;
      }
      default:
        if (first !== undefined && first.t.trim() !== '') opts[n.name] = first.t.trim();
    }
  }
  return { items, nominal, limits, opts };
}
