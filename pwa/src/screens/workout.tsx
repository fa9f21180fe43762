// Working something out: any calculation on typed figures, under the vehicle
// too. Nothing of it goes into the record.
import { useEffect, useState } from 'preact/hooks';
import type { CalcsView, Need, WorkoutView } from '../core/types';
import { loadDraft, putDraft } from '../app/core';
import { href } from '../app/state';
import { Caution, Problem, Section, useView, verdictClass } from '../widgets/basics';
import { Vals } from './results';
import { begin, emptyField, input, keyOf, type Field, type Form } from './workout.form';

export function WorkoutScreen({ name }: { name: string }) {
  return name === '' ? <Choose /> : <One key={name} name={name} />;
}

function Choose() {
  const { value: v, error } = useView<CalcsView>('calcs');
  const [find, setFind] = useState('');
  if (v === undefined) return <Problem error={error} />;
  const words = find.toLowerCase().split(/\s+/).filter((w) => w !== '');
  const shown = v.calcs.filter((c) => words.every((w) => `${c.title} ${c.name} ${c.group}`.toLowerCase().includes(w)));
  const groups = [...new Set(shown.map((c) => c.group))];
  return (
    <>
      <h1>Work something out</h1>
      <p class="point-words">With figures typed here. Nothing of it goes into the record.</p>
      <label>Find<input value={find} onInput={(e) => setFind(e.currentTarget.value)} placeholder="chain, preload, ring gap" /></label>
      {shown.length === 0 && <p class="empty">No calculation is called that.</p>}
      {groups.map((g) => (
        <Section key={g} title={g}>
          <ul class="lines">
            {shown.filter((c) => c.group === g).map((c) => (
              <li key={c.name}><a class="line" href={href('workout', { name: c.name })}><span class="line-title">{c.title}</span><span class="line-says">{c.formula}</span></a></li>
            ))}
          </ul>
        </Section>
      ))}
    </>
  );
}

function One({ name }: { name: string }) {
  const [form, setForm] = useState<Form>({});
  const [needs, setNeeds] = useState<Need[]>([]);
  const { value: v, error } = useView<WorkoutView>('workout', { name, in: input(needs, form) });
  const draft = `workout:${name}`;
  useEffect(() => {
    if (v === undefined || needs.length > 0) return;
    void loadDraft<Form>(draft).then((old) => {
      setForm(begin(v.needs, old));
      setNeeds(v.needs);
    });
  }, [v, needs]);
  if (v === undefined) return <Problem error={error} />;
  const change = (key: string, rows: Field[]) => {
    const next = { ...form, [key]: rows };
    setForm(next);
    putDraft(draft, next);
  };
  const must = needs.filter((n) => n.optional !== true);
  const may = needs.filter((n) => n.optional === true);
  return (
    <>
      <p><a href={href('workout')}>All calculations</a></p>
      <h1>{v.title}</h1>
      <p class="point-words">{v.formula} <span class="fine">({v.source})</span></p>
      <Problem error={error} />
      {must.map((n) => <Input key={keyOf(n)} n={n} rows={form[keyOf(n)] ?? []} change={(rows) => change(keyOf(n), rows)} />)}
      {may.length > 0 && (
        <details open={must.length === 0}>
          <summary>More that may go in ({may.length})</summary>
          {may.map((n) => <Input key={keyOf(n)} n={n} rows={form[keyOf(n)] ?? []} change={(rows) => change(keyOf(n), rows)} />)}
        </details>
      )}
      <Outcome v={v} />
      <p class="actions"><button type="button" onClick={() => { setForm(begin(needs)); putDraft(draft, {}); }}>Clear all figures</button></p>
    </>
  );
}

function Input({ n, rows, change }: { n: Need; rows: Field[]; change: (rows: Field[]) => void }) {
  const set = (i: number, f: Partial<Field>) => change(rows.map((r, k) => (k === i ? { ...r, ...f } : r)));
  return (
    <fieldset class="input">
      <legend>{n.label}</legend>
      {rows.map((f, i) => (
        <div key={i} class="row">
          {n.kind === 'item' && <label class="short">which<input value={f.label} onInput={(e) => set(i, { label: e.currentTarget.value.trim() })} aria-label={`${n.label}: which, row ${i + 1}`} /></label>}
          {n.kind === 'item' && <label class="short">point<input value={f.point} onInput={(e) => set(i, { point: e.currentTarget.value.trim() })} aria-label={`${n.label}: point, row ${i + 1}`} /></label>}
          <label>{n.kind === 'limit' ? (i === 0 ? 'at least' : 'at most') : n.kind === 'option' ? 'words' : 'value'}
            <input class="figure" inputMode={n.kind === 'option' ? 'text' : 'decimal'} value={f.t} onInput={(e) => set(i, { t: e.currentTarget.value })} aria-label={`${n.label}${n.kind === 'limit' ? (i === 0 ? ', at least' : ', at most') : ''}, row ${i + 1}`} />
          </label>
          {n.units.length > 1 && (
            <label>unit<select value={f.u} onChange={(e) => set(i, { u: e.currentTarget.value })} aria-label={`${n.label}: unit, row ${i + 1}`}>{n.units.map((u) => <option key={u.code} value={u.code}>{u.symbol === '' ? 'plain' : u.symbol}</option>)}</select></label>
          )}
          {n.units.length === 1 && n.units[0]?.symbol !== '' && <span class="unit">{n.units[0]?.symbol}</span>}
        </div>
      ))}
      {n.kind === 'item' && <button type="button" onClick={() => change([...rows, { ...emptyField(rows.at(-1)?.u ?? n.units[0]?.code ?? ''), label: rows.at(-1)?.label ?? '' }])}>One more reading</button>}
    </fieldset>
  );
}

function Outcome({ v }: { v: WorkoutView }) {
  return (
    <section class="outcome" aria-label="What comes out" aria-live="polite">
      <p class={`says verdict ${verdictClass(v.verdict)}`}><span class="word">{v.says}</span></p>
      {v.vals.length > 0 && <Vals vals={v.vals} of={v.title} />}
      {v.missing.length > 0 && <Section title="Missing"><ul class="plain-list">{v.missing.map((m) => <li key={m}>{m}</li>)}</ul></Section>}
      {v.working.length > 0 && <details><summary>Show the working</summary><ol class="working">{v.working.map((w, i) => <li key={i}>{w}</li>)}</ol></details>}
      <Caution texts={v.cautions} />
    </section>
  );
}
