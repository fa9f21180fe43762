// Paper for those who won't use a phone: a blank sheet with the map, side and
// points, printed; and the same rows at the desk, keyed in by keyboard alone.
import { useState } from 'preact/hooks';
import type { JobView, PaperView } from '../core/types';
import { status } from '../app/core';
import { go, route, today } from '../app/state';
import { Band, Drawing, Problem, useView } from '../widgets/basics';
import { KeyIn, type Keying } from './keyin';

export function PaperScreen({ job }: { job: JobView }) {
  const r = route.value;
  const [keying, setKeying] = useState<Keying>({ taker: status.value.person, day: today(), instrument: '', temp: '' });
  const [paper, setPaper] = useState<'a4' | 'letter'>('a4');
  const asm = r['asm'] ?? job.engines[0]?.asm ?? '';
  const { value: v, error } = useView<PaperView>('paper', { asm, sheet: r['sheet'] ?? '', cond: r['cond'] ?? '', day: keying.day, me: keying.taker });
  if (v === undefined) return <Problem error={error} />;
  const set = (change: Record<string, string>) => go('paper', { asm, sheet: v.sheet, cond: v.cond, key: r['key'], ...change });
  const printing = r['key'] === undefined;
  return (
    <>
      <div class="paper-choice">
        <h1>{printing ? 'A sheet to print' : 'Key in a sheet'}</h1>
        <p class="fine">For those who would rather write on paper. The rows have the same numbers on the paper and at the desk.</p>
        <div class="sitting">
          <label>Engine<select value={asm} onChange={(e) => set({ asm: e.currentTarget.value })}>{job.engines.map((e) => <option key={e.asm} value={e.asm}>{`${e.asm} ${e.name}, ${e.where}`}</option>)}</select></label>
          <label>Sheet<select value={v.sheet ?? ''} onChange={(e) => set({ sheet: e.currentTarget.value })}>
            <option value="">choose</option>
            {v.sheets.map((s) => <option key={s.sheet} value={s.sheet}>{s.stages.length === 0 ? s.sheet : `${s.sheet} (for: ${s.stages.join(', ')})`}</option>)}
          </select></label>
          <label>Condition<select value={v.cond} onChange={(e) => set({ cond: e.currentTarget.value })}>{v.conds.map((c) => <option key={c.cond} value={c.cond}>{c.words}</option>)}</select></label>
          {printing && <label>Paper<select value={paper} onChange={(e) => setPaper(e.currentTarget.value as 'a4' | 'letter')}><option value="a4">A4</option><option value="letter">Letter</option></select></label>}
        </div>
        <p class="actions">
          {printing && <button type="button" class="primary" disabled={v.tables.length === 0} onClick={() => print()}>Print</button>}
          <button type="button" onClick={() => go('paper', { asm, sheet: v.sheet, cond: v.cond, key: printing ? 'in' : undefined })}>{printing ? 'Key one in' : 'Print one'}</button>
        </p>
      </div>
      {v.tables.length > 0 && (printing ? <Blank v={v} paper={paper} /> : <KeyIn key={`${asm}/${v.sheet ?? ''}/${v.cond}`} v={v} job={job} keying={keying} change={(c) => setKeying({ ...keying, ...c })} />)}
    </>
  );
}

function Blank({ v, paper }: { v: PaperView; paper: string }) {
  const whose = `${v.engine.asm} ${v.engine.name}, ${v.engine.where}`;
  return (
    <div class={`blank ${paper}`} aria-label="The sheet as it is printed" role="region">
      <div class="blank-head">
        <p class="blank-engine"><Band kind={v.engine.band} /><span><b class="figure">{v.engine.asm}</b> {v.engine.name}<br />{v.engine.where}</span></p>
        <div>
          <p class="blank-title">{v.sheet}, {v.cond_words}</p>
          <p>{v.title}</p>
          {v.numbering !== undefined && <p>{v.numbering.name}: number 1 is at the {v.numbering.end1}. Left is {v.numbering.left}, right is {v.numbering.right}, {v.numbering.facing}.</p>}
        </div>
      </div>
      <p class="blank-lines">{['Measured by', 'Written by', 'Day', 'Instrument', 'Zero read', 'on bar', 'Temperature'].map((w) => <span key={w}>{w}</span>)}</p>
      <Drawing svg={v.svg} label={`Map of ${whose}`} />
      {v.tables.map((t) => (
        <table key={`${t.title}${t.rows[0]?.at ?? ''}`}>
          <thead>
            <tr><th class="blank-whose" colSpan={t.points.length + 2}>{whose}: {t.title}, in {symbolOf(t)}{t.nominal === undefined ? '' : `, nominal ${t.nominal}`}</th></tr>
            <tr><th>No.</th><th>Place</th>{t.points.map((p) => <th key={p.point}>{p.words === '' ? symbolOf(t) : p.words}</th>)}</tr>
          </thead>
          <tbody>
            {t.rows.map((row) => <tr key={row.at}><td class="figure">{row.n}</td><th scope="row">{row.words}</th>{row.cells.map((c) => <td key={c.point} class="box" />)}</tr>)}
          </tbody>
        </table>
      ))}
      <p class="blank-lines wide"><span>Remarks: what could not be reached, what looked wrong</span></p>
      <p>Write each figure as the tool shows it, with its unit if it is another one. Leave out what was not measured: never copy a nominal. An engine is turned by hand, injectors out, starter isolated; a crankshaft is chocked.</p>
    </div>
  );
}

const symbolOf = (t: PaperView['tables'][number]) => t.units.find((u) => u.code === t.unit)?.symbol ?? t.unit;
