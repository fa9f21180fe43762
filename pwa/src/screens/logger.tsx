// A logger's file, taken in to a run: what each column is, its unit, the decimal mark and when it began are asked, never
// guessed; what would be kept is shown before anything is.
import { useEffect, useState } from 'preact/hooks';
import type { LoggerView, RunView } from '../core/types';
import { keep, view } from '../app/core';
import { href, say } from '../app/state';
import { Problem, Section } from '../widgets/basics';

type Columns = { role: string; unit: string }[];
interface Said { sep: string; heads: number; mark: string; first: { min: string; s: string }; columns: Columns }

/** The largest file that is read at once, in letters. */
const most = 4_000_000;

const digits = (e: { currentTarget: { value: string } }) => e.currentTarget.value.replace(/[^0-9]/g, '');

export function LoggerScreen({ v: run, asm }: { v: RunView; asm: string }) {
  const [file, setFile] = useState({ name: '', text: '' });
  const [said, setSaid] = useState<Said>({ sep: '', heads: 1, mark: '', first: { min: '', s: '' }, columns: [] });
  const [v, setV] = useState<LoggerView | undefined>();
  const [error, setError] = useState<string | undefined>();
  const [done, setDone] = useState('');
  const { min, s } = said.first;
  const args = JSON.stringify({ sep: said.sep, heads: said.heads, mark: said.mark, columns: said.columns, ...(min + s === '' ? {} : { first_s: 60 * Number(min) + Number(s) }) });
  // Asked by hand: what is kept of the file must not have the whole of it read again each time.
  useEffect(() => {
    if (file.text === '') return;
    let late = false;
    void view<LoggerView>('logger', { id: run.id, asm, text: file.text, file: file.name, ...(JSON.parse(args) as object) }).then((l) => late || setV(l), (e: Error) => late || setError(e.message));
    return () => void (late = true);
  }, [file, args]);
  const take = async (f: File | undefined) => {
    if (f === undefined) return;
    const text = await f.text();
    setDone('');
    setV(undefined);
    setSaid({ ...said, columns: [] });
    setError(text.length > most ? 'This is more than can be read at once: cut the file in parts.' : undefined);
    setFile(text.length > most ? { name: '', text: '' } : { name: f.name, text });
  };
  return (
    <div class="logger">
      <h1>A logger's file, {asm}</h1>
      <p>{run.title}. Take the file that the logger wrote, a row for each time and a column for each gauge (CSV). Nothing is kept until you say so below.</p>
      <label class="button file">Take the file<input type="file" accept=".csv,.tsv,.txt,text/csv,text/plain" onChange={(e) => void take(e.currentTarget.files?.[0])} /></label>
      <Problem error={error} />
      {done !== '' && <p class="notice" role="status" data-testid="logger-kept">{done}</p>}
      {v !== undefined && file.text !== '' && (
        <>
          <Top v={v} />
          <Asked v={v} said={said} change={(c) => setSaid({ ...said, ...c })} />
          <Becomes v={v} kept={(n) => (setFile({ name: '', text: '' }), setDone(`${n} samples are kept.`))} />
        </>
      )}
      <p class="actions"><a class="button" href={href('run', { asm, id: run.id })}>To the run</a></p>
    </div>
  );
}

/** The first rows as they stand in the file. */
function Top({ v }: { v: LoggerView }) {
  return (
    <Section title="The first rows of the file">
      <div class="scroll" tabIndex={0} role="region" aria-label="The first rows of the file">
        <table><tbody>{v.shown.map((row, i) => <tr key={i}><th>{i + 1}</th>{row.map((c, k) => <td key={k} class="figure">{c}</td>)}</tr>)}</tbody></table>
      </div>
    </Section>
  );
}

function Asked({ v, said, change }: { v: LoggerView; said: Said; change: (c: Partial<Said>) => void }) {
  const now = v.columns.map((_, i) => said.columns[i] ?? { role: '', unit: '' });
  const set = (i: number, c: Partial<Columns[number]>) => change({ columns: now.map((x, k) => (k === i ? { ...x, ...c } : x)) });
  return (
    <Section title="What only you know">
      <div class="sitting">
        <label>Columns are parted by<select value={said.sep} onChange={(e) => change({ sep: e.currentTarget.value, columns: [] })}><option value="">choose</option><option value="comma">commas</option><option value="semicolon">semicolons</option><option value="tab">tabs</option></select></label>
        <label>Rows above the figures<input class="figure" inputMode="numeric" value={String(said.heads)} onInput={(e) => change({ heads: Number(digits(e)) })} /></label>
        <label>Figures are written<select value={said.mark} onChange={(e) => change({ mark: e.currentTarget.value })}><option value="">choose</option><option value=".">with a point: 2.8</option><option value=",">with a comma: 2,8</option></select></label>
        <label>First row: minutes since the start<input class="figure" inputMode="numeric" value={said.first.min} onInput={(e) => change({ first: { ...said.first, min: digits(e) } })} /></label>
        <label>and seconds<input class="figure" inputMode="numeric" value={said.first.s} onInput={(e) => change({ first: { ...said.first, s: digits(e) } })} /></label>
        {said.sep !== '' && v.columns.map((c, i) => {
          const name = c.head === '' ? `Column ${i + 1}` : c.head;
          const role = now[i]?.role ?? '';
          const units = role === 'time' ? v.times.map((t) => ({ code: t.code, symbol: t.words })) : (v.roles.find((r) => r.role === role)?.units ?? []);
          return (
            <div key={i}>
              <label>{name}<select value={role} onChange={(e) => set(i, { role: e.currentTarget.value, unit: '' })}>
                <option value="">left out</option><option value="time">time</option>
                {v.roles.map((r) => <option key={r.role} value={r.role}>{r.words}</option>)}
              </select></label>
              {role !== '' && <label>{name} is in<select value={now[i]?.unit ?? ''} onChange={(e) => set(i, { unit: e.currentTarget.value })}><option value="">choose</option>{units.map((u) => <option key={u.code} value={u.code}>{u.symbol}</option>)}</select></label>}
            </div>
          );
        })}
      </div>
    </Section>
  );
}

function Becomes({ v, kept }: { v: LoggerView; kept: (n: number) => void }) {
  const [at, setAt] = useState<number | undefined>();
  const [error, setError] = useState<string | undefined>();
  if (v.wants.length > 0) return <p class="notice" data-testid="logger-wants">Say {v.wants.join('; ')}.</p>;
  const bodies = v.bodies ?? [];
  const go = async () => {
    try {
      for (const [i, body] of bodies.entries()) {
        setAt(i);
        await keep({ kind: 'run', body });
      }
      say(`${v.rows} samples saved on this phone.`);
      kept(v.rows);
    } catch (e) {
      setError(`${(e as Error).message} What was kept stands in the log of the run.`);
    }
    setAt(undefined);
  };
  return (
    <Section title="As it would be kept">
      <p role="status" data-testid="logger-count">{v.rows} rows{v.from === undefined ? '' : `, from ${v.from} to ${v.to} since the start`}, as {bodies.length} {bodies.length === 1 ? 'entry' : 'entries'}; {v.wrong} wrong, {v.empty} empty{v.more === true ? '; the file is longer than is read at once' : ''}.</p>
      {v.told.length > 0 && <ul class="plain-list">{v.told.map((t) => <li key={t} class="problem">{t}</li>)}</ul>}
      {v.there?.map((t) => <p key={t} class="notice warn">{t}</p>)}
      <Problem error={error} />
      {bodies.length > 0 && <button type="button" class="wide primary" data-testid="logger-keep" disabled={at !== undefined} onClick={() => void go()}>{at === undefined ? `Keep ${v.rows} samples` : `Keeping: ${at} of ${bodies.length}`}</button>}
    </Section>
  );
}
