// What a run came to: it writes itself from the log.
import type { RunSide, RunView } from '../core/types';
import { href } from '../app/state';
import { Rounds } from './matching';
import { Drawing, EngineName, Section, when } from '../widgets/basics';
import { PictureOut } from '../widgets/pictureout';

export function RunReport({ v, asm }: { v: RunView; asm: string }) {
  return (
    <>
      <h1>{v.title === '' ? 'Lines of a run whose start has not arrived' : `Run: ${v.title}`}</h1>
      <p>{when(v.at)}, {v.by}: <b>{v.word}</b>{v.unreleased === undefined ? '' : <>, <b>{v.unreleased}</b></>}. {v.release}</p>
      {v.contest !== undefined && <a class="button wide" href={href('contest', { id: v.contest })}>Not settled: settle it</a>}
      {v.sides.map((s) => <Side key={s.engine.asm} s={s} />)}
      <p class="actions"><a class="button" href={href('run', { asm })}>All runs of {asm}</a> {v.sides.map((s) => <a key={s.engine.asm} class="button" href={href('run', { asm: s.engine.asm, id: v.id, logger: '1' })}>Take in a logger's file, {s.engine.asm}</a>)}</p>
      <RunGraphs v={v} open />
      {v.matching !== undefined && <Rounds m={v.matching} v={v} />}
      <RunLog v={v} open />
      <Section title="The card, as it was answered">
        <dl>{v.card.map((l, i) => <div key={i}><dt>{l.name}</dt><dd>{l.text}</dd></div>)}</dl>
      </Section>
    </>
  );
}

function Side({ s }: { s: RunSide }) {
  return (
    <Section title={`Report, ${s.engine.asm}`}>
      <p><EngineName e={s.engine} /></p>
      <dl>
        <div><dt>ran</dt><dd>{s.ran ?? 'no firing or no stop was logged'}</dd></div>
        <div><dt>stopped</dt><dd>{s.why ?? 'not logged'}</dd></div>
        <div><dt>in all its runs</dt><dd>{s.hours}</dd></div>
      </dl>
      <h3>Alarms raised ({s.raised.length})</h3>
      {s.raised.length === 0 && <p class="empty">None by what was typed.</p>}
      <ul class="plain-list">{s.raised.map((a, i) => <li key={i}><b class="figure">{a.at}</b> ■ {a.title}: {a.says}</li>)}</ul>
      <h3>To do now</h3>
      <ul class="plain-list">{s.after.map((t) => <li key={t}>{t}</li>)}</ul>
      {s.faults.length > 0 && (
        <>
          <h3>Seen to go wrong ({s.faults.length})</h3>
          <p class="actions">{s.faults.map((f) => <a key={f} class="button" href={href('snags', { asm: s.engine.asm, what: f })}>Raise a snag: {f}</a>)}</p>
        </>
      )}
    </Section>
  );
}

/** The drawings of the run, with the runs before thin beside it. */
export function RunGraphs({ v, open = false }: { v: RunView; open?: boolean }) {
  if (v.graphs.length === 0) return null;
  return (
    <details open={open}>
      <summary>Drawings ({v.graphs.length})</summary>
      {v.graphs.map((g) => <figure key={g.title}><figcaption>{g.title}</figcaption><Drawing svg={g.svg} label={g.title} /><PictureOut svg={g.svg} of={g.title} file={`run-${g.title}`} caption={`${g.title}: ${v.title}, ${v.sides.map((s) => `${s.engine.asm} ${s.engine.name}, ${s.engine.where}`).join(' and ')}`} /></figure>)}
    </details>
  );
}

export function RunLog({ v, open = false }: { v: RunView; open?: boolean }) {
  return (
    <details open={open} class="run-log">
      <summary>The log ({v.log_lines.length})</summary>
      <ul class="readings">
        {v.log_lines.map((l) => (
          <li key={l.id} class={l.contest === undefined ? '' : 'contested'}><a class="reading" href={href('entry', { id: l.id })}>
            <span class="figure value">{l.at}</span><span>{v.sides.length > 1 ? `${l.asm}: ` : ''}{l.why === undefined ? l.words : <s>{l.words}</s>}</span>
            <span class="word">{[l.by, l.why === undefined ? undefined : `struck: ${l.why}`, l.contest === undefined ? undefined : 'not settled', l.clock].filter((t) => t !== undefined).join(', ')}</span>
          </a></li>
        ))}
      </ul>
    </details>
  );
}
