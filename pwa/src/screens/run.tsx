// Runs of an engine: those before, and the card that begins a new one.
import type { RunLine, RunsView, RunView } from '../core/types';
import { href, route } from '../app/state';
import { EngineName, Problem, Section, useView, when } from '../widgets/basics';
import { RunCard } from './runcard';
import { Running } from './running';
import { RunReport } from './runreport';
import { later } from '../widgets/later';
import '../run.css';

const LoggerScreen = later(async () => (await import('./logger')).LoggerScreen);

export function RunScreen({ asm }: { asm: string }) {
  const id = route.value['id'];
  return <div class="run">{id === undefined ? <Runs asm={asm} /> : <OneRun key={id} id={id} asm={asm} />}</div>;
}

function OneRun({ id, asm }: { id: string; asm: string }) {
  const { value: v, error } = useView<RunView>('run', { id });
  if (v === undefined) return <Problem error={error} />;
  if (route.value['logger'] !== undefined) return <LoggerScreen v={v} asm={asm} />;
  return v.state === 'running' ? <Running v={v} asm={asm} /> : <RunReport v={v} asm={asm} />;
}

function Runs({ asm }: { asm: string }) {
  const { value: v, error } = useView<RunsView>('runs', { asm });
  if (v === undefined || v.engine.asm !== asm) return <Problem error={error} />;
  return (
    <>
      <h1>Run on the bench</h1>
      <p class="fine">{asm} has run <b>{v.hours}</b> in all.</p>
      <p class="actions"><a class="button" href={href('clutch', { asm })}>Clutch tests of both</a></p>
      <RunCard key={asm} v={v} asm={asm} />
      {v.runs.length > 0 && <Section title="Runs"><ul class="lines">{v.runs.map((r) => <Row key={r.id} r={r} asm={asm} />)}</ul></Section>}
    </>
  );
}

function Row({ r, asm }: { r: RunLine; asm: string }) {
  return (
    <li>
      <a class="line" href={href('run', { asm, id: r.id })}>
        <span class="line-title">{r.title === '' ? 'lines without their start' : r.title}, <span class="figure">{when(r.at)}</span></span>
        <span class="verdict"><span aria-hidden="true">{r.state === 'running' ? '▷' : '–'}</span> <span class="word">{[r.word, r.unreleased].filter((t) => t !== undefined).join(', ')}</span></span>
        {r.engines.length > 1 && <span class="line-says">{r.engines.map((e) => <EngineName key={e.asm} e={e} />)}</span>}
        <span class="line-says">{[r.ran, r.by].filter((t) => t !== undefined && t !== '').join(', ')}</span>
      </a>
    </li>
  );
}
