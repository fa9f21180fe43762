// One table for all: at a desk its heads sort it and one button copies it as
// text, the unit once at the head of its column, values as written.
import { useState } from 'preact/hooks';
import { say } from '../app/state';
import { wide } from '../app/wide';
import { asText, compare, headOf, textOf, type Column, type Row } from './rows';

interface Sorted { key: string; down: boolean }

export function Table({ title, columns, rows, className = '' }: { title: string; columns: Column[]; rows: Row[]; className?: string }) {
  const [by, setBy] = useState<Sorted | undefined>();
  const shown = by === undefined ? rows : [...rows].sort((a, b) => compare(textOf(a, by.key), textOf(b, by.key), by.down));
  const sort = (key: string) => setBy(by?.key !== key ? { key, down: false } : by.down ? undefined : { key, down: true });
  const state = (key: string) => (by?.key !== key ? 'none' : by.down ? 'descending' : 'ascending');
  const mark = { none: '', ascending: ' ▲', descending: ' ▼' };
  const [first, ...rest] = columns;
  if (first === undefined) return null;
  const cell = (r: Row, c: Column) => {
    const x = r.cells[c.key];
    return typeof x === 'object' && x.show !== undefined ? x.show : textOf(r, c.key);
  };
  return (
    <>
      <div class="scroll" tabIndex={0} role="region" aria-label={title}>
        <table class={className}>
          <thead><tr>{columns.map((c) => (
            <th key={c.key} scope="col" aria-sort={wide.value ? state(c.key) : undefined}>
              {wide.value ? <button type="button" class="sorts" onClick={() => sort(c.key)}>{headOf(c)}<span aria-hidden="true">{mark[state(c.key)]}</span></button> : headOf(c)}
            </th>
          ))}</tr></thead>
          <tbody>{shown.map((r) => <tr key={r.key}><th scope="row">{cell(r, first)}</th>{rest.map((c) => <td key={c.key} class={c.figure === true ? 'figure' : ''}>{cell(r, c)}</td>)}</tr>)}</tbody>
        </table>
      </div>
      {wide.value && rows.length > 0 && <p class="actions"><button type="button" onClick={() => void copy(asText(columns, shown))}>{`Copy as text: ${title}`}</button></p>}
    </>
  );
}

/** Where a list stands in lines, a desk has it as a table too. */
export function AsTable({ title, columns, rows }: { title: string; columns: Column[]; rows: Row[] }) {
  const [open, setOpen] = useState(false);
  if (!wide.value || rows.length === 0) return null;
  return (
    <details class="as-table" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>{title} as a table, to sort and copy</summary>
      {open && <Table title={title} columns={columns} rows={rows} />}
    </details>
  );
}

async function copy(text: string): Promise<void> {
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    byHand(text); // a browser that keeps the clipboard to itself until something is marked
  }
  say('Copied, as text with tabs.');
}

function byHand(text: string): void {
  const area = document.createElement('textarea');
  area.value = text;
  document.body.append(area);
  area.select();
  document.execCommand('copy');
  area.remove();
}
