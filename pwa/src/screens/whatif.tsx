// What if: another gasket, limit or size, on a copy. Every result of both
// engines that moves, the decisions, orders and hold points behind it. Nothing
// is written, and leaving the screen forgets it.
import { useState } from 'preact/hooks';
import type { Imagined, MovedLine, WhatIfView } from '../core/types';
import { href, route } from '../app/state';
import { Caution, EngineName, Problem, Section, settledSide, useView, VerdictWord } from '../widgets/basics';

/** A change with the words that it is shown with. */
interface Change extends Imagined { words: string }

export function WhatIfScreen() {
  const [changes, setChanges] = useState<Change[]>([]);
  const [asm, setAsm] = useState(route.value['asm'] ?? '');
  const [at, setAt] = useState('');
  const { value: v, error } = useView<WhatIfView>('whatif', { changes: changes.map(({ words: _, ...c }) => c), asm, at });
  const set = (c: Change) => setChanges([...changes.filter((x) => x.what !== c.what || x.id !== c.id), c]);
  if (v === undefined) return <><Problem error={error} />{error !== undefined && <button type="button" onClick={() => setChanges([])}>Begin again</button>}</>;
  return (
    <div class="whatif">
      <h1>What if<span class="point-words">on a copy: nothing is written</span></h1>
      <div class="columns">
        <div class="column">
          {v.gasket && <Gasket set={set} />}
          <LimitChange v={v} set={set} />
          <SizeChange v={v} asm={asm} at={at} pick={(a, p) => (setAsm(a), setAt(p))} set={set} />
        </div>
        <div class="column" role="status" aria-label="What is imagined">
          {changes.length === 0 ? <p class="empty">Nothing is imagined yet.</p> : (
            <ul class="plain-list imagined">
              {changes.map((c) => <li key={c.words}><b>{c.words}</b> <button type="button" aria-label={`Take away: ${c.words}`} onClick={() => setChanges(changes.filter((x) => x !== c))}>Take away</button></li>)}
            </ul>
          )}
          {changes.length > 1 && <button type="button" onClick={() => setChanges([])}>Forget it all</button>}
        </div>
      </div>
      {changes.length > 0 && <Moved v={v} />}
      <Caution texts={['This is arithmetic on what was measured, not a measurement. Before anything is built so, measure it.']} />
    </div>
  );
}

function Gasket({ set }: { set: (c: Change) => void }) {
  const [t, setT] = useState('');
  const look = (e: Event) => {
    e.preventDefault();
    set({ what: 'gasket', t: t.trim().replace(',', '.'), words: `gasket ${t.trim()} mm under torque, both engines` });
  };
  return (
    <form class="pick" onSubmit={look}>
      <label>Another gasket: thickness under torque, mm<input class="figure" inputMode="decimal" value={t} onInput={(e) => setT(e.currentTarget.value)} required /></label>
      <button type="submit">Look: the gasket</button>
    </form>
  );
}

function LimitChange({ v, set }: { v: WhatIfView; set: (c: Change) => void }) {
  const [id, setId] = useState('');
  const [min, setMin] = useState('');
  const [max, setMax] = useState('');
  const limit = v.limits.find((l) => l.id === id);
  const choose = (next: string) => {
    const l = v.limits.find((x) => x.id === next);
    setId(next);
    setMin(l?.min ?? '');
    setMax(l?.max ?? '');
  };
  const look = (e: Event) => {
    e.preventDefault();
    if (limit === undefined || (min.trim() === '' && max.trim() === '')) return;
    const says = [min.trim() === '' ? '' : `at least ${min.trim()}`, max.trim() === '' ? '' : `at most ${max.trim()}`].filter((t) => t !== '').join(', ');
    set({ what: 'limit', id, min: min.trim().replace(',', '.'), max: max.trim().replace(',', '.'), words: `${limit.title}: ${says} ${limit.unit} instead of ${limit.says}` });
  };
  return (
    <form class="pick" onSubmit={look}>
      <label>Another limit<select value={id} onChange={(e) => choose(e.currentTarget.value)}><option value="">choose</option>{v.limits.map((l) => <option key={l.id} value={l.id}>{l.title}{l.asm === undefined ? '' : `, ${l.asm}`}: {l.says}</option>)}</select></label>
      {limit !== undefined && (
        <>
          <label>At least, {limit.unit}<input class="figure" inputMode="decimal" value={min} onInput={(e) => setMin(e.currentTarget.value)} /></label>
          <label>At most, {limit.unit}<input class="figure" inputMode="decimal" value={max} onInput={(e) => setMax(e.currentTarget.value)} /></label>
          <button type="submit">Look: the limit</button>
        </>
      )}
    </form>
  );
}

function SizeChange({ v, asm, at, pick, set }: { v: WhatIfView; asm: string; at: string; pick: (asm: string, at: string) => void; set: (c: Change) => void }) {
  const [id, setId] = useState('');
  const [t, setT] = useState('');
  const size = v.sizes.find((s) => s.id === id);
  const look = (e: Event) => {
    e.preventDefault();
    if (size !== undefined) set({ what: 'size', id, t: t.trim().replace(',', '.'), words: `${size.place}: ${t.trim()} ${size.unit} instead of ${size.t}` });
  };
  return (
    <form class="pick" onSubmit={look}>
      <label>Another size, of<select value={asm} onChange={(e) => pick(e.currentTarget.value, '')}><option value="">choose the engine</option>{v.engines.map((e) => <option key={e.engine.asm} value={e.engine.asm}>{e.engine.asm} {e.engine.name}</option>)}</select></label>
      {asm !== '' && <label>Place<select value={at} onChange={(e) => pick(asm, e.currentTarget.value)}><option value="">choose</option>{v.places.map((p) => <option key={p.at} value={p.at}>{p.words}</option>)}</select></label>}
      {at !== '' && <label>Reading<select value={id} onChange={(e) => (setId(e.currentTarget.value), setT(v.sizes.find((s) => s.id === e.currentTarget.value)?.t ?? ''))}><option value="">choose</option>{v.sizes.map((s) => <option key={s.id} value={s.id}>{s.words}</option>)}</select></label>}
      {size !== undefined && <><label>If it were, {size.unit}<input class="figure" inputMode="decimal" value={t} onInput={(e) => setT(e.currentTarget.value)} required /></label><button type="submit">Look: the size</button></>}
    </form>
  );
}

function Moved({ v }: { v: WhatIfView }) {
  const n = v.both.length + v.engines.reduce((sum, e) => sum + e.moved.length, 0);
  return (
    <>
      <h2>{n === 0 ? 'No result moves' : n === 1 ? 'One result moves' : `${n} results move`}</h2>
      {v.window !== undefined && <p class="says">{v.window}</p>}
      {v.both.length > 0 && <Section title="Over both engines"><ul class="moves">{v.both.map((m) => <MovedRow key={m.id} m={m} />)}</ul></Section>}
      <div class="columns">
        {v.engines.map((e) => (
          <section key={e.engine.asm} class="column" aria-label={`Moved on ${e.engine.asm}`}>
            <h2 class={`engine-title ${settledSide(e.engine) ?? ''}`}><EngineName e={e.engine} /></h2>
            {e.moved.length === 0 && <p class="empty">Nothing of it moves.</p>}
            <ul class="moves">{e.moved.map((m) => <MovedRow key={m.id} m={m} />)}</ul>
          </section>
        ))}
      </div>
      {v.decisions.length > 0 && <Section title="Decisions that would have to be looked at"><ul class="plain-list">{v.decisions.map((d) => <li key={d.id}><a href={href('decision', { id: d.id })}>{d.title}</a>: {d.says === '' ? 'would hold again' : d.says}</li>)}</ul></Section>}
      {v.orders.length > 0 && <Section title="Orders behind them"><ul class="plain-list">{v.orders.map((p) => <li key={p.part}><a href={href('part', { part: p.part })}>{p.part}</a> {p.what}: {p.word}</li>)}</ul></Section>}
      {v.holds.length > 0 && <Section title="Hold points"><ul class="plain-list">{v.holds.map((h) => <li key={h.title}>{h.title}: {h.was} → {h.now}</li>)}</ul></Section>}
    </>
  );
}

function MovedRow({ m }: { m: MovedLine }) {
  return (
    <li>
      <p class="line-title">{m.words}{m.cond_words !== undefined && `, ${m.cond_words}`}</p>
      <p class="then-now">
        {m.was === undefined ? 'not worked out' : <VerdictWord g={m.was.glyph} verdict={m.was.verdict} word={m.was.word} />} <span aria-label="then">→</span> {m.now === undefined ? 'not worked out any more' : <VerdictWord g={m.now.glyph} verdict={m.now.verdict} word={m.now.word} />}
      </p>
      <p class="line-says">{m.says}</p>
      {m.vals.length > 0 && <dl>{m.vals.map((x) => <div key={x.label}><dt>{x.label}</dt><dd class="figure">{x.was} → {x.now}</dd></div>)}</dl>}
    </li>
  );
}
