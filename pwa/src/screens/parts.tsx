// Parts: what is fitted where, today or on a day; what is spare, to be taken
// in, on order, and out; which joints a wrench has tightened.
import { useState } from 'preact/hooks';
import type { PartLine, PartsView, WrenchView } from '../core/types';
import { keep } from '../app/core';
import { go, href } from '../app/state';
import { EngineName, Problem, Section, settledSide, useView, when } from '../widgets/basics';
import { AsTable } from '../widgets/table';
import { Form, may, need, value, type Values } from '../widgets/form';

export const origins = ['original', 'from the sister engine', 'period', 'new old stock', 'remade to drawing', 'remade from a sample', 'reclaimed', 'used', 'modern', 'consumable'];

export function PartsScreen({ batch: asked }: { batch: string }) {
  const [day, setDay] = useState('');
  const batch = asked;
  const { value: v, error } = useView<PartsView>('parts', { day, batch });
  if (v === undefined) return <Problem error={error} />;
  return (
    <>
      <h1>Parts{batch !== '' && <span class="point-words">of batch {batch}</span>}</h1>
      <p class="actions"><a class="button" href={href('orders')}>Orders, both engines</a>{batch !== '' && <a class="button" href={href('parts')}>All parts</a>}</p>
      <div class="pick">
        <label>As it was on<input type="date" value={day} onInput={(e) => setDay(e.currentTarget.value)} /></label>
        {v.batches.length > 0 && <label>Batch<select value={batch} onChange={(e) => go('parts', { batch: e.currentTarget.value })}><option value="">all</option>{v.batches.map((b) => <option key={b} value={b}>{b}</option>)}</select></label>}
      </div>
      {v.day !== undefined && <p class="notice">As it was on the evening of {v.day}, by the days stated. <button type="button" onClick={() => setDay('')}>Show it as it is now</button></p>}
      <PartTable v={v} />
      <div class="columns">
        {v.engines.map((e) => (
          <section key={e.engine.asm} class="column" aria-label={`In ${e.engine.asm}`}>
            <h2 class={`engine-title ${settledSide(e.engine) ?? ''}`}><EngineName e={e.engine} /></h2>
            {e.fitted.length === 0 && <p class="empty">No tagged part is in it.</p>}
            <ul class="lines">{e.fitted.map((p) => <PartRow key={p.part} p={p} />)}</ul>
          </section>
        ))}
      </div>
      <Shelf title="To be taken in: received, not accepted" parts={v.inward} />
      <Shelf title="Spare and on the shelf" parts={v.spare} />
      <Shelf title="On order" parts={v.ordered} />
      <Shelf title="Out: sent, sent back, rejected, scrapped" parts={v.gone} />
      <NewPart />
      <Wrench tools={v.tools} />
    </>
  );
}

function PartTable({ v }: { v: PartsView }) {
  const parts = [...v.engines.flatMap((e) => e.fitted), ...v.inward, ...v.spare, ...v.ordered, ...v.gone];
  return (
    <AsTable title="Parts" rows={parts.map((p) => ({ key: p.part, cells: { part: { text: p.part, show: <a href={href('part', { part: p.part })}>{p.part}</a> }, what: p.what, word: p.word, asm: p.asm, place: p.place, since: p.since, origin: p.origin, batch: p.batch, stored: p.stored } }))}
      columns={[{ key: 'part', head: 'Part' }, { key: 'what', head: 'What' }, { key: 'word', head: 'State' }, { key: 'asm', head: 'In', figure: true }, { key: 'place', head: 'Place' }, { key: 'since', head: 'Since', figure: true }, { key: 'origin', head: 'Where it is from' }, { key: 'batch', head: 'Batch' }, { key: 'stored', head: 'Where it lies' }]} />
  );
}

function Shelf({ title, parts }: { title: string; parts: PartLine[] }) {
  if (parts.length === 0) return null;
  return <Section title={`${title} (${parts.length})`}><ul class="lines">{parts.map((p) => <PartRow key={p.part} p={p} />)}</ul></Section>;
}

export function PartRow({ p }: { p: PartLine }) {
  const says = [p.place, p.since === undefined ? undefined : `since ${p.since}`, p.undersize, p.origin, p.batch === undefined ? undefined : `batch ${p.batch}`, p.stored].filter((t) => t !== undefined);
  return (
    <li>
      <a class={`line part-line ${p.contest !== undefined ? 'contested' : p.doubt !== undefined ? 'doubtful' : ''}`} href={href('part', { part: p.part })}>
        <span class="line-title"><b class="figure">{p.part}</b> {p.what}</span>
        <span class="verdict"><span class="word">{p.word}</span></span>
        {(p.doubt !== undefined || says.length > 0) && <span class="line-says">{[p.doubt, ...says].filter((t) => t !== undefined).join(' · ')}</span>}
      </a>
    </li>
  );
}

function NewPart() {
  const make = async (v: Values, ended: string[]) => {
    const body: Record<string, unknown> = { part: v['part'], state: 'known', what: v['what'], as: v['as'] || undefined, origin: v['origin'] || undefined, batch: v['batch'] || undefined, papers: v['papers'] || undefined, stored: v['stored'] || undefined, undersize: value(v['undersize'] ?? '', 'mm') };
    await keep({ kind: 'part', body }, ended);
    go('part', { part: v['part'] });
  };
  return (
    <details>
      <summary>Enter a part, or a lot</summary>
      <Form button="Keep the part" draft="part" make={make} fields={[need('part', 'Tag, or lot', 'GK-10'), need('what', 'What it is', 'head gasket'), may('as', 'Serves as', 'gasket, liner, shells, chain'),
        { name: 'origin', label: 'Where it is from', options: [['', 'not known'], ...origins.map((o): [string, string] => [o, o])] }, may('batch', 'Batch'), may('papers', 'Papers'), may('undersize', 'Undersize, mm', '0.50'), may('stored', 'Where it lies', 'shelf C2')]} />
    </details>
  );
}

/** A wrench found wrong: every joint that it has tightened since a day. */
function Wrench({ tools }: { tools: string[] }) {
  const [tool, setTool] = useState('');
  const [since, setSince] = useState('');
  const { value: v } = useView<WrenchView>('wrench', { tool, since });
  if (tools.length === 0) return null;
  return (
    <details>
      <summary>What was tightened with a wrench</summary>
      <div class="pick">
        <label>Wrench<select value={tool} onChange={(e) => setTool(e.currentTarget.value)}><option value="">choose</option>{tools.map((t) => <option key={t} value={t}>{t}</option>)}</select></label>
        <label>Since<input type="date" value={since} onInput={(e) => setSince(e.currentTarget.value)} /></label>
      </div>
      {tool !== '' && v?.uses.length === 0 && <p class="empty">Nothing was tightened with {tool}{since === '' ? '' : ` since ${since}`}.</p>}
      <ul class="lines">
        {tool !== '' && v?.uses.map((u) => {
          const { screen, ...params } = u.open;
          return (
            <li key={u.id}><a class="line" href={href(screen, params)}>
              <span class="line-title"><EngineName e={u.engine} /> {u.words}</span><span class="figure">{u.torque}</span>
              <span class="line-says">{u.what} · {u.by}, {when(u.at)}</span>
            </a></li>
          );
        })}
      </ul>
    </details>
  );
}
