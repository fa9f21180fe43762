// The rows of a table: what they are sorted by, and what is copied of them.
import type { ComponentChildren } from 'preact';

export interface Column { key: string; head: string; unit?: string | undefined; figure?: boolean }
/** text is what is sorted by and copied; show what stands there, where that is more than the text. */
export interface Cell { text: string; show?: ComponentChildren }
export interface Row { key: string; cells: Record<string, Cell | string | undefined> }

export const textOf = (r: Row, key: string): string => {
  const c = r.cells[key];
  return c === undefined ? '' : typeof c === 'string' ? c : c.text;
};
export const headOf = (c: Column) => (c.unit === undefined ? c.head : `${c.head} / ${c.unit}`);

/** A number as people write it, or NaN: what cannot be read as one is sorted as words. */
const number = (t: string) => (t.trim() === '' ? Number.NaN : Number(t.trim().replace('−', '-').replace(/^([+-]?\d+),(\d+)$/, '$1.$2')));

/** Numbers by their size, words as a list of them; what is empty comes last either way. */
export function compare(a: string, b: string, down: boolean): number {
  if (a === '' || b === '') return Number(a === '') - Number(b === '');
  const [x, y] = [number(a), number(b)];
  const order = Number.isNaN(x) || Number.isNaN(y) ? a.localeCompare(b, 'en', { numeric: true }) : x - y;
  return down ? -order : order;
}

/** As spreadsheets take it: tabs between, a line for each row. */
export const asText = (columns: Column[], rows: Row[]): string =>
  [columns.map(headOf), ...rows.map((r) => columns.map((c) => textOf(r, c.key)))].map((line) => line.map((t) => t.replace(/[\t\r\n]+/g, ' ')).join('\t')).join('\n') + '\n';
