// A paper sheet keyed in: Enter keeps a figure and goes on to the next box in
// the order of the sheet. Who measured, and on which day, is kept apart from
// who types and when. Each figure is an entry like any other.
import { useRef, useState } from 'preact/hooks';
import type { JobView, PaperView, SayView } from '../core/types';
import { keep, view } from '../app/core';
import { say } from '../app/state';
import { EngineName } from '../widgets/basics';

export interface Keying { taker: string; day: string; instrument: string; temp: string }

type Table = PaperView['tables'][number];
type Cell = Table['rows'][number]['cells'][number];
interface Box { text: string; id?: string; error?: string; asked?: string }

const keyOf = (at: string, point: string) => `${at}/${point}`;

export function KeyIn({ v, job, keying, change }: { v: PaperView; job: JobView; keying: Keying; change: (c: Partial<Keying>) => void }) {
  const [boxes, setBoxes] = useState<Record<string, Box>>({});
  const [units, setUnits] = useState<Record<string, string>>({});
  const inputs = useRef(new Map<string, HTMLInputElement>());
  const order = v.tables.flatMap((t) => t.rows.flatMap((r) => r.cells.map((c) => keyOf(r.at, c.point))));
  const put = (k: string, b: Box) => setBoxes((all) => ({ ...all, [k]: b }));
  const step = (k: string, by: number) => {
    const next = inputs.current.get(order[order.indexOf(k) + by] ?? '');
    next?.focus();
    next?.select();
  };
  const tool = job.instruments.find((i) => i.key === keying.instrument);

  const enter = async (t: Table, at: string, c: Cell, k: string, typed: string) => {
    const b = { ...boxes[k], text: typed }; // as it stands in the box: a gauge is quicker than the screen
    const text = typed.trim();
    if (text === '') return step(k, 1);
    if (keying.taker === '' || keying.day === '') return put(k, { ...b, error: 'First say above who measured and on which day.' });
    const said = await view<SayView>('say', { cell: text, u: units[t.title] ?? t.unit, asm: v.engine.asm, at, point: c.point, cond: v.cond });
    if (!said.ok || said.value === undefined) return put(k, { ...b, error: said.error ?? 'This cannot be read.' });
    const twice = b.id === undefined && c.have.includes(said.text) ? 'the same stands here already' : said.question;
    if (twice !== undefined && b.asked !== text) return put(k, { ...b, asked: text, error: `${twice}. Enter once more keeps it.` });
    const body: Record<string, unknown> = { of: c.of, cond: v.cond, value: said.value, read_by: keying.taker, when: keying.day };
    if (tool !== undefined) Object.assign(body, { instrument: tool.key, zero: tool.zero?.id ?? 'none' });
    if (keying.temp.trim() !== '') body['temp'] = { t: keying.temp.trim(), u: 'degC' };
    try {
      const { id } = await keep({ kind: 'reading', body, ...(b.id === undefined ? {} : { over: [b.id] }) });
      put(k, { text, id });
      say(`${said.text} kept.`);
      step(k, 1);
    } catch (e) {
      put(k, { ...b, error: (e as Error).message });
    }
  };

  const keyed = (t: Table, at: string, c: Cell, k: string) => (e: KeyboardEvent) => {
    const way: Record<string, number> = { ArrowDown: 1, ArrowUp: -1 };
    if (e.key === 'Enter') void enter(t, at, c, k, (e.currentTarget as HTMLInputElement).value); // the handler stands on the box
    else if (e.key === 'Escape') put(k, { ...(boxes[k]?.id === undefined ? {} : { id: boxes[k].id }), text: '' });
    else if (way[e.key] === undefined) return;
    else step(k, way[e.key] ?? 0);
    e.preventDefault();
  };

  return (
    <div class="keyin">
      <p><EngineName e={v.engine} /></p>
      <div class="sitting">
        <label>Measured by<select value={keying.taker} onChange={(e) => change({ taker: e.currentTarget.value })}>
          <option value="">choose</option>
          {job.people.map((p) => <option key={p.key} value={p.key}>{p.name}</option>)}
          <option value="unknown">nobody knows</option>
        </select></label>
        <label>On the day<input type="date" value={keying.day} onInput={(e) => change({ day: e.currentTarget.value })} /></label>
        <label>With<select value={keying.instrument} onChange={(e) => change({ instrument: e.currentTarget.value })}>
          <option value="">not written</option>
          {job.instruments.map((i) => <option key={i.key} value={i.key}>{`${i.key}, ${i.what}`}</option>)}
        </select></label>
        <label>At, °C<input value={keying.temp} inputMode="decimal" onInput={(e) => change({ temp: e.currentTarget.value })} /></label>
      </div>
      <p class="fine">Enter keeps and goes on, an empty box is passed by, arrows go up and down, Escape empties. '0.30 to 0.35', '&lt;0.05', 'nil' and '2.4981 in' are understood.</p>
      {v.tables.map((t) => (
        <div class="scroll" key={`${t.title}${t.rows[0]?.at ?? ''}`} tabIndex={0} role="region" aria-label={t.title}>
          <table>
            <thead>
              <tr><th>No.</th><th>{t.title}, in <UnitChoice t={t} unit={units[t.title] ?? t.unit} choose={(u) => setUnits({ ...units, [t.title]: u })} /></th>{t.points.map((p) => <th key={p.point}>{p.words}</th>)}</tr>
            </thead>
            <tbody>
              {t.rows.map((row) => (
                <tr key={row.at}>
                  <td class="figure">{row.n}</td>
                  <th scope="row">{row.words}</th>
                  {row.cells.map((c) => {
                    const k = keyOf(row.at, c.point);
                    const b = boxes[k] ?? { text: '' };
                    return (
                      <td key={c.point} class={b.id !== undefined && b.error === undefined ? 'is-kept' : ''}>
                        <input ref={(el) => void (el === null ? inputs.current.delete(k) : inputs.current.set(k, el))} class="figure" inputMode="decimal" value={b.text} data-cell={k} data-takes-gauge="" autocomplete="off"
                          aria-label={`${row.n}: ${row.words} ${c.point}`} aria-invalid={b.error !== undefined}
                          onInput={(e) => put(k, { ...(b.id === undefined ? {} : { id: b.id }), text: e.currentTarget.value })} onKeyDown={keyed(t, row.at, c, k)} />
                        {b.error !== undefined ? <span class="problem" role="alert">{b.error}</span> : <span class="fine">{b.id !== undefined ? 'kept' : c.have.join('; ')}</span>}
                      </td>
                    );
                  })}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      ))}
    </div>
  );
}

/** The unit that the paper has at the head of the column; another one for the whole of it. */
function UnitChoice({ t, unit, choose }: { t: Table; unit: string; choose: (u: string) => void }) {
  return <select aria-label={`Unit of ${t.title}`} value={unit} onChange={(e) => choose(e.currentTarget.value)}>{t.units.map((u) => <option key={u.code} value={u.code}>{u.symbol}</option>)}</select>;
}
