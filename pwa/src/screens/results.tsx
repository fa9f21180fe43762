// Results: all in a list, one with everything behind it.
import { useState } from 'preact/hooks';
import type { JobView, Line, Result, ResultsView, Val } from '../core/types';
import { status } from '../app/core';
import { href } from '../app/state';
import { Caution, EngineName, GlyphMark, Of, Problem, ResultLine, Section, settledSide, useView, verdictClass, VerdictWord } from '../widgets/basics';
import { Meaning } from '../widgets/meaning';
import { later } from '../widgets/later';
import { AsTable, Table } from '../widgets/table';

const DecideForm = later(async () => (await import('./decide')).DecideForm);

export function ResultsScreen() {
  const { value: v, error } = useView<ResultsView>('results');
  if (v === undefined) return <Problem error={error} />;
  return (
    <>
      <h1>Results</h1>
      <p class="actions"><a class="button" href={href('workout')}>Work something out</a> <a class="button" href={href('whatif')}>What if …</a></p>
      <ResultTable lines={[...v.engines.flatMap((e) => e.lines), ...v.both]} />
      {v.both.length > 0 && (
        <Section title="Both engines">
          <p class="actions"><a class="button" href={href('gasket')}>Which gasket, as a chart</a></p>
          <ul class="lines">{v.both.map((l) => <ResultLine key={l.id} l={l} />)}</ul>
        </Section>
      )}
      {v.twins.length > 0 && (
        <details class="twins">
          <summary>Left against right, in {v.twins.length} {v.twins.length === 1 ? 'thing' : 'things'} measured on both</summary>
          <ul class="lines">{v.twins.map((l) => <ResultLine key={l.id} l={l} />)}</ul>
        </details>
      )}
      <div class="columns">
        {v.engines.map((e) => (
          <section class="column" key={e.engine.asm} aria-label={`${e.engine.asm} ${e.engine.where}`}>
            <h2 class={`engine-title ${settledSide(e.engine) ?? ''}`}><EngineName e={e.engine} /></h2>
            {e.lines.length === 0 && <p class="empty">Nothing has been measured yet.</p>}
            <ul class="lines">{e.lines.map((l) => <ResultLine key={l.id} l={l} />)}</ul>
          </section>
        ))}
      </div>
    </>
  );
}

function ResultTable({ lines }: { lines: Line[] }) {
  return (
    <AsTable title="Results" columns={[{ key: 'what', head: 'What' }, { key: 'asm', head: 'Engine', figure: true }, { key: 'cond', head: 'Condition' }, { key: 'word', head: 'Verdict' }, { key: 'says', head: 'It says' }]}
      rows={lines.map((l) => ({ key: l.id, cells: { what: { text: l.words, show: <a href={href('result', { id: l.id })}>{l.words}</a> }, asm: l.asm, cond: l.cond_words, word: { text: l.word, show: <VerdictWord g={l.glyph} verdict={l.verdict} word={l.word} /> }, says: l.says } }))} />
  );
}

export function ResultScreen({ id }: { id: string }) {
  const { value: r, error } = useView<Result>('result', { id });
  if (r === undefined) return <Problem error={error} />;
  return (
    <>
      <ResultBody r={r} />
      {status.value.role === 'lead' && r.decide !== undefined && <Decide r={r} draft={r.decide} />}
    </>
  );
}

/** The lead decides on a result: an undersize, a concession. It says so everywhere when the verdict under it changes. */
function Decide({ r, draft }: { r: Result; draft: NonNullable<Result['decide']> }) {
  const { value: job } = useView<JobView>('job');
  const [open, setOpen] = useState(false);
  return (
    <details onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>Decide on this</summary>
      {open && job !== undefined && <DecideForm r={r} draft={draft} job={job} />}
    </details>
  );
}

export function ResultBody({ r }: { r: Result }) {
  return (
    <article class="result">
      <Of engines={r.engines} />
      <h1>{r.words}</h1>
      <p class="point-words">{r.cond_words ?? ''}{r.mixes.length > 0 && `, with readings ${r.mixes.join(', ')}`}</p>
      <p class={`verdict big ${verdictClass(r.verdict)}`}>
        <GlyphMark g={r.glyph} verdict={r.verdict} large /> <span class="word">{r.word}</span>
      </p>
      <p class="says">{r.says}</p>
      {r.vals.length > 0 && <Vals vals={r.vals} of={r.words} />}
      {r.missing.length > 0 && (
        <Section title="Missing"><ul class="plain-list">{r.missing.map((m) => <li key={m}>{m}</li>)}</ul></Section>
      )}
      {r.measure.map((m) => <ToMeasure key={m.engine.asm} m={m} />)}
      <details>
        <summary>Show the working</summary>
        <ol class="working">{r.working.map((w, i) => <li key={i}>{w}</li>)}</ol>
        <Meaning of="judged" />
        <Meaning of="k" />
      </details>
      <details>
        <summary>What it rests on ({r.inputs.length})</summary>
        <ul class="plain-list">{r.inputs.map((i) => <li key={i.id}><a class="button link" href={href('entry', { id: i.id })}>{i.words === '' ? i.id.slice(0, 8) : i.words}</a></li>)}</ul>
      </details>
      <p class="fine">Calculation {r.calc}, version {r.version}.</p>
      <Caution texts={r.cautions} />
    </article>
  );
}

const shownAtOnce = 6;

/** Where to go and measure what is missing, in the order of the walk. */
function ToMeasure({ m }: { m: Result['measure'][number] }) {
  const one = (p: Result['measure'][number]['points'][number]) => (
    <li key={`${p.at}/${p.point}`}><a class="button" href={href('point', { asm: p.asm, at: p.at, point: p.point, cond: p.cond })}>{p.words}</a></li>
  );
  return (
    <Section title="Still to measure">
      <p><EngineName e={m.engine} /></p>
      <ul class="plain-list to-measure">{m.points.slice(0, shownAtOnce).map(one)}</ul>
      {m.points.length > shownAtOnce && (
        <details><summary>{m.points.length - shownAtOnce} more</summary><ul class="plain-list to-measure">{m.points.slice(shownAtOnce).map(one)}</ul></details>
      )}
    </Section>
  );
}

/** The figures of a result: in great text they scroll sideways by themselves, and the page stays. One unit for all stands at the head. */
export function Vals({ vals, of }: { vals: Val[]; of: string }) {
  const units = [...new Set(vals.map((v) => v.unit ?? ''))];
  const unit = units.length === 1 && units[0] !== '' ? units[0] : undefined;
  const figure = (v: Val) => v.text + (unit !== undefined || v.unit === undefined ? '' : ` ${v.unit}`);
  return (
    <Table title={`Figures: ${of}`} className="vals" columns={[{ key: 'label', head: 'Value' }, { key: 'figure', head: 'Figure', unit, figure: true }, { key: 'limit', head: 'Limit' }]}
      rows={vals.map((v) => ({
        key: v.label,
        cells: {
          label: v.label,
          figure: { text: figure(v), show: <>{figure(v)}{v.u_text !== undefined && <span class="fine"> ± {v.u_text}</span>}</> },
          limit: v.limit === undefined ? 'no limit' : { text: `${v.limit} ${v.word}`, show: <><span class="figure">{v.limit}</span> <VerdictWord g={v.glyph} verdict={v.verdict} word={v.word} /></> },
        },
      }))} />
  );
}
