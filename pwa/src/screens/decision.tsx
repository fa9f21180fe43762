// One decision: what was chosen and why, what it rests on with old beside new,
// and what came of it. And the page that goes to the machinist.
import type { DecisionView, InstructionView } from '../core/types';
import { href } from '../app/state';
import { Caution, Drawing, Of, Section, useView, when } from '../widgets/basics';

export const decisionMarks: Record<DecisionView['state'], string> = { stands: '◆', again: '◇', open: '◈', stale: '■', contested: '◐' };

export function DecisionScreen({ id }: { id: string }) {
  const { value: v, error } = useView<DecisionView>('decision', { id });
  if (v === undefined) return error === undefined ? null : <><h1>Replaced</h1><p>This decision was replaced or taken back. What stands is under <a href={href('job')}>Job</a>.</p></>;
  return (
    <article class="decision">
      <Of engines={v.engines} />
      <h1>{v.title}</h1>
      <p class={`verdict big decision-state ${v.state}`}><span aria-hidden="true">{decisionMarks[v.state]}</span> <span class="word">{v.word}</span></p>
      {v.chosen.map((c) => <p key={c} class="says">{c}</p>)}
      <p>{v.why} <span class="who">{v.by}, {when(v.at)}</span></p>
      {v.open !== undefined && <p class="notice warn"><b>Still open:</b> {v.open}</p>}
      {v.original === true && <p class="notice"><b>It removes original metal.</b> Thought of besides: {v.alternatives}. Agreed by {v.consent}.</p>}
      {v.moved.length > 0 && (
        <Section title={v.state === 'stale' ? 'What has changed under it' : 'Looked at again: what moved'}>
          <div class="scroll" tabIndex={0} role="region" aria-label="Then and now">
            <table class="moved"><thead><tr><th scope="col">What</th><th scope="col">Then</th><th scope="col">Now</th></tr></thead>
              <tbody>{v.moved.map((m) => <tr key={m.label} class={m.counts ? 'counts' : ''}><th scope="row">{m.label}{m.counts && <span class="fine"> changes the answer</span>}</th><td class="figure">{m.was}</td><td class="figure">{m.now}</td></tr>)}</tbody></table>
          </div>
        </Section>
      )}
      <Section title="What it rests on">
        <ul class="plain-list">{v.on.map((r) => <li key={r.id}>{r.here ? <a class="button link" href={href('result', { id: r.id })}>{r.title}</a> : r.title}{r.says !== undefined && <> {r.says}</>}</li>)}</ul>
        {v.on.length === 0 && <p class="empty">No result was named.</p>}
      </Section>
      {v.orders.length > 0 && <Section title="Ordered on it"><ul class="lines">{v.orders.map((p) => <li key={p.part}><a class="line" href={href('part', { part: p.part })}><span class="line-title"><b class="figure">{p.part}</b> {p.what}</span><span class="verdict"><span class="word">{p.word}</span></span></a></li>)}</ul></Section>}
      <p class="actions">
        {v.work === true && <a class="button" href={href('instruction', { id: v.id })}>The page for the machinist</a>}
        <a class="button" href={href('entry', { id: v.id })}>Its entry</a>
      </p>
    </article>
  );
}

export function InstructionScreen({ id }: { id: string }) {
  const { value: v, error } = useView<InstructionView>('instruction', { id });
  if (v === undefined) return error === undefined ? null : <><h1>Replaced</h1><p class="problem">This instruction was replaced or taken back: do not machine from an older print of it.</p></>;
  const mine = v.theirs !== undefined && v.lines.some((l) => l.theirs !== undefined);
  return (
    <article class="instruction">
      <p class="actions no-print"><button type="button" class="primary" onClick={() => print()}>Print it</button><a class="button" href={href('decision', { id: v.id })}>The decision</a></p>
      {v.stale !== '' && <p class="problem"><b>Do not machine from this page.</b> {v.stale}.</p>}
      <p class="fine">{v.job}{v.to !== undefined && ` · for ${v.to}`}</p>
      <Of engines={v.engines} />
      <h1>To machine: {v.title}</h1>
      <p class="blank-lines">{['Contact: name', 'telephone or post', 'Pieces handed over', 'On', 'Promised for'].map((w) => <span key={w}>{w}</span>)}</p>
      {v.number1 !== undefined && <p>Number 1 is at the {v.number1}.{mine && ` ${v.theirs}'s own numbers stand beside ours.`}</p>}
      {v.svg !== undefined && <Drawing svg={v.svg} label="Sketch with the sizes to be machined" />}
      <table>
        <thead><tr><th scope="col">What</th>{mine && <th scope="col">{v.theirs} counts it</th>}<th scope="col">Finished size</th><th scope="col">Tolerance</th><th scope="col">Measured after</th></tr></thead>
        <tbody>{v.lines.map((l) => <tr key={l.what}><th scope="row">{l.what}</th>{mine && <td class="figure">{l.theirs ?? ''}</td>}<td class="figure">{l.size}</td><td class="figure">{l.tol ?? ''}</td><td class="by-hand"> </td></tr>)}</tbody>
      </table>
      {v.note !== undefined && <p class="says">{v.note}</p>}
      {v.open !== undefined && <p class="notice warn"><b>Still open:</b> {v.open}</p>}
      <p>Why: {v.why}</p>
      <p class="who">{v.by}, {when(v.at)} · decision {v.id.slice(0, 8)}</p>
      <Caution texts={[v.caution]} />
    </article>
  );
}
