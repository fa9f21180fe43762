// A list from before, or from another program: pasted or read from a file. It
// is shown row by row as it would be kept, with what is wrong in words, before
// anything is. Values stand as they were written; no unit is guessed.
import { useEffect, useState } from 'preact/hooks';
import type { JobView, LinesView } from '../core/types';
import { keep, view } from '../app/core';
import { say } from '../app/state';
import { Problem, Section } from '../widgets/basics';

/** What is said for rows that do not say it themselves. */
interface Otherwise { asm: string; cond: string; taker: string; when: string; unit: string }

type Columns = { role: string; unit: string }[];

/** The largest list that is read at once, in letters. */
const most = 400_000;

/** The first line of a table, which says what its columns are. */
const heads = (table: string) => table.trimStart().split(/\r?\n/, 1)[0];

export function ListScreen({ job }: { job: JobView }) {
  const [text, setText] = useState('');
  const [columns, setColumns] = useState<Columns | undefined>();
  const [other, setOther] = useState<Otherwise>({ asm: '', cond: 'found', taker: '', when: 'day not known', unit: '' });
  const [done, setDone] = useState('');
  const [error, setError] = useState<string | undefined>();
  const [v, setV] = useState<LinesView | undefined>();
  const args = JSON.stringify({ text, ...other, ...(columns === undefined ? {} : { columns }) });
  // Asked by hand: what is kept of the list must not have the whole of it read again each time.
  useEffect(() => {
    let late = false;
    void view<LinesView>('lines', JSON.parse(args) as object).then((l) => late || setV(l), (e: Error) => late || setError(e.message));
    return () => void (late = true);
  }, [args]);
  const take = (t: string) => {
    if (heads(t) !== heads(text)) setColumns(undefined); // another table; a row put right keeps what its columns are
    setDone('');
    setError(t.length > most ? 'This is more than can be read at once: take it in parts.' : undefined);
    setText(t.length > most ? '' : t);
  };
  return (
    <div class="listin">
      <h1>Take in a list</h1>
      <p>What was measured before, or is in another program: copy the table and paste it here, or take a CSV file. Nothing is kept until you say so below.</p>
      <p class="fine">A row for each reading (engine, place, point, value, unit, read by, date), or a row for each place and a column for each point. Leave dates as they are: "about 2019" stands.</p>
      <label>The table<textarea value={text} onInput={(e) => take(e.currentTarget.value)} spellcheck={false} /></label>
      <label class="button file">Take a CSV file<input type="file" accept=".csv,.tsv,.txt,text/csv,text/plain" onChange={(e) => void e.currentTarget.files?.[0]?.text().then(take)} /></label>
      <Problem error={error} />
      {text !== '' && <ForAll job={job} other={other} change={(c) => setOther({ ...other, ...c })} />}
      {v !== undefined && v.columns.length > 0 && <ColumnChoice v={v} choose={setColumns} />}
      {v !== undefined && <Shown v={v} />}
      {v !== undefined && <KeepAll v={v} kept={(n) => (setText(''), setColumns(undefined), setDone(`${n} readings are kept. Each can be corrected or taken back like any other.`))} />}
      {done !== '' && <p class="notice" role="status" data-testid="list-kept">{done}</p>}
    </div>
  );
}

function ForAll({ job, other, change }: { job: JobView; other: Otherwise; change: (c: Partial<Otherwise>) => void }) {
  return (
    <Section title="For rows that do not say it">
      <div class="sitting">
        <label>Engine<select value={other.asm} onChange={(e) => change({ asm: e.currentTarget.value })}><option value="">each row says it</option>{job.engines.map((e) => <option key={e.asm} value={e.asm}>{e.asm} {e.name}</option>)}</select></label>
        <label>Condition<select value={other.cond} onChange={(e) => change({ cond: e.currentTarget.value })}><option value="found">as found</option><option value="machined:1">after machining</option><option value="built">as built</option></select></label>
        <label>Read by<select value={other.taker} onChange={(e) => change({ taker: e.currentTarget.value })}><option value="">nobody knows</option>{job.people.map((p) => <option key={p.key} value={p.key}>{p.name}</option>)}</select></label>
        <label>Measured<input value={other.when} onInput={(e) => change({ when: e.currentTarget.value })} /></label>
      </div>
    </Section>
  );
}

function ColumnChoice({ v, choose }: { v: LinesView; choose: (c: Columns) => void }) {
  const now = v.columns.map((c) => ({ role: c.role ?? '', unit: c.unit ?? '' }));
  const set = (i: number, change: Partial<Columns[number]>) => choose(now.map((c, k) => (k === i ? { ...c, ...change } : c)));
  const values = (role: string | undefined) => role === 'value' || role === 'temp' || (role ?? '').startsWith('at:');
  return (
    <Section title="What each column is">
      <div class="sitting">
        {v.columns.map((c, i) => (
          <div key={i}>
            <label>{c.head === '' ? `Column ${i + 1}` : c.head}<select value={c.role ?? ''} onChange={(e) => set(i, { role: e.currentTarget.value })}>
              <option value="">left out</option>
              {v.roles?.map((r) => <option key={r.role} value={r.role}>{r.words}</option>)}
            </select></label>
            {values(c.role) && (
              <label>{`in (${c.head === '' ? `column ${i + 1}` : c.head})`}<select value={c.unit ?? ''} onChange={(e) => set(i, { unit: e.currentTarget.value })}>
                <option value="">as each row says</option>
                {units.map(([u, w]) => <option key={u} value={u}>{w}</option>)}
              </select></label>
            )}
          </div>
        ))}
      </div>
    </Section>
  );
}

/** Those that lists are usually in; any other is said in a column of units. */
const units: [string, string][] = [['mm', 'mm'], ['in', 'in'], ['thou', 'thou'], ['um', 'µm'], ['cm3', 'cm³'], ['bar', 'bar'], ['psi', 'psi'], ['N.m', 'N·m'], ['lbf.ft', 'lbf·ft'], ['deg', '°'], ['degC', '°C'], ['degF', '°F'], ['g', 'g']];

const word = { ready: 'would be kept', wrong: 'cannot be kept', there: 'stands already' };

function Shown({ v }: { v: LinesView }) {
  if (v.items.length === 0) return v.columns.length === 0 ? null : <p class="empty">No column of values is known yet: say above which it is.</p>;
  return (
    <Section title="As it would be kept">
      <p role="status" data-testid="list-count">{v.ready} would be kept, {v.wrong} cannot be, {v.there} stand already or are struck.{v.more === true && ' There are more rows than are read at once: take the rest in afterwards.'}</p>
      <div class="scroll" tabIndex={0} role="region" aria-label="As it would be kept">
        <table>
          <thead><tr><th>Row</th><th>As it stood</th><th>What becomes of it</th></tr></thead>
          <tbody>
            {v.items.map((it, i) => (
              <tr key={i} class={it.state}>
                <td class="figure">{it.row}</td>
                <td class="figure">{it.column === undefined ? '' : `${it.column}: `}{it.cell}</td>
                <td>
                  <b>{word[it.state]}</b>{it.words === '' ? '' : `: ${it.words}, read by ${it.by}${it.when === undefined ? '' : `, measured ${it.when}`}`}
                  {it.problems.map((p) => <p class="problem" key={p}>{p}</p>)}
                  {it.question !== undefined && it.state === 'ready' && <p class="fine">Look: {it.question}</p>}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </Section>
  );
}

function KeepAll({ v, kept }: { v: LinesView; kept: (n: number) => void }) {
  const [at, setAt] = useState<number | undefined>();
  const [error, setError] = useState<string | undefined>();
  if (v.ready === 0) return <Problem error={error} />;
  const go = async () => {
    let n = 0;
    try {
      for (const it of v.items) {
        if (it.draft === undefined) continue;
        setAt(n);
        await keep(it.draft);
        n++;
      }
      say(`${n} readings are saved on this phone.`);
      kept(n);
    } catch (e) {
      setError(`${(e as Error).message} ${n} were kept; the list now shows what is left.`);
    }
    setAt(undefined);
  };
  return (
    <>
      <Problem error={error} />
      <button type="button" class="wide primary" disabled={at !== undefined} onClick={() => void go()}>{at === undefined ? `Keep ${v.ready} ${v.ready === 1 ? 'reading' : 'readings'}` : `Keeping: ${at} of ${v.ready}`}</button>
    </>
  );
}
