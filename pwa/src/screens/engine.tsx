// The way in: the engine drawn, turned to how one stands, with the list of the
// same places under it. On a desk the left engine stands left, the right right.
import { useEffect, useState } from 'preact/hooks';
import type { Engine, EngineView, LeadView, PlaceLine, ResultsView } from '../core/types';
import { go, href, sit, sitting } from '../app/state';
import { wide } from '../app/wide';
import { taker } from './hands';
import { Band, Drawing, Problem, ResultLine, Section, sideWords, useView, VerdictWord } from '../widgets/basics';
import { PictureOut } from '../widgets/pictureout';
import { Zoom } from '../widgets/zoom';

/** What the type calls its two ends, the one where number 1 is first. */
type Ends = [string, string];

/** Where one stands, by the ends' own names. */
const standings = ([first, second]: Ends): [typeof sitting.value.where, string][] => [['', 'as drawn'], ['timing', `at the ${first}`], ['flywheel', `at the ${second}`], ['under', 'underneath']];

export function EngineScreen({ engine, engines }: { engine: Engine; engines: Engine[] }) {
  const shown = wide.value ? engines : [engine];
  const [ends, setEnds] = useState<Ends>(['first end', 'second end']);
  return (
    <>
      <Switch engine={engine} engines={engines} />
      <Standing ends={ends} />
      <div class={shown.length === 2 ? 'columns three' : 'columns'}>
        {shown.map((e, i) => (
          <>
            {shown.length === 2 && i === 1 && <div key="shared" class="column shared"><Shared /></div>}
            <div key={e.asm} class={e.asm === engine.asm ? 'column chosen' : 'column'}>
              <OneEngine asm={e.asm} named={e.asm === engine.asm ? setEnds : undefined} />
            </div>
          </>
        ))}
      </div>
    </>
  );
}

/** What both engines share, between them on a desk: what holds the job up, and the results over both. */
function Shared() {
  const { value: lead } = useView<LeadView>('lead', { me: taker() });
  const { value: results } = useView<ResultsView>('results');
  const stop = lead?.groups.find((g) => g.word === 'stop')?.lines ?? [];
  return (
    <>
      <Section title="Both engines">
        <ul class="lines">{(results?.both ?? []).map((l) => <ResultLine key={l.id} l={l} />)}</ul>
        {results?.both.length === 0 && <p class="empty">Nothing is chosen or matched for both yet. Left against right stands under Results.</p>}
      </Section>
      <Section title={`Cannot go on (${stop.length})`}>
        <ul class="plain-list">{stop.map((l, i) => <li key={i}><a class="button link" href={href(l.open.screen, { id: l.open.id, asm: l.open.asm, at: l.open.at, point: l.open.point })}>{l.title}</a></li>)}</ul>
        {stop.length === 0 && <p class="empty">Nothing.</p>}
      </Section>
    </>
  );
}

function Switch({ engine, engines }: { engine: Engine; engines: Engine[] }) {
  return (
    <div class="switch phone-only" role="group" aria-label="Which engine">
      {engines.map((e) => (
        <button key={e.asm} type="button" aria-pressed={e.asm === engine.asm} onClick={() => (sit({ asm: e.asm, seen: Date.now() }), go('engine', { asm: e.asm }))}>
          <Band kind={e.band} /> <span><b class="figure">{e.asm}</b> {sideWords(e)}</span>
        </button>
      ))}
    </div>
  );
}

function OneEngine({ asm, named }: { asm: string; named?: ((ends: Ends) => void) | undefined }) {
  const { where } = sitting.value;
  const { value: v, error } = useView<EngineView>('engine', { asm, where });
  useEffect(() => {
    if (v !== undefined) named?.([v.end1, v.end2]);
  }, [v?.end1, v?.end2, named]);
  const [filter, setFilter] = useState('');
  if (v === undefined) return <Problem error={error} />;
  const pick = (name: string) => {
    const exact = v.places.find((p) => p.at === name);
    if (exact !== undefined) return go('point', { asm, at: name });
    if (v.places.some((p) => p.at.startsWith(`${name}.`))) return setFilter(name);
    go('tighten', { asm, joint: name });
  };
  const out = <PictureOut svg={v.svg} of={`the map of ${asm}`} file={`map-${asm}`} />;
  return (
    <>
      <Zoom of={asm} keys={wide.value && out}>
        <Drawing svg={v.svg} attribute="data-place" onPick={pick} label={`${v.engine.asm} ${v.engine.name}, ${v.engine.where}: places to measure`} />
      </Zoom>
      <p class="actions">
        <a class="button" href={href('sheet', { asm })}>Sheet of {asm}</a>
        <a class="button" href={href('tighten', { asm, joint: 'head' })}>Tighten the head</a>
        <a class="button" href={href('hold', { asm })}>Hold test</a>
        <a class="button" href={href('run', { asm })}>Run</a>
        <a class="button" href={href('snags', { asm })}>Snags</a>
      </p>
      <Places v={v} filter={filter} clear={() => setFilter('')} />
      {!wide.value && out}
    </>
  );
}

function Standing({ ends }: { ends: Ends }) {
  return (
    <label class="standing">
      Where I am
      <select value={sitting.value.where} onChange={(e) => sit({ where: e.currentTarget.value as typeof sitting.value.where })}>
        {standings(ends).map(([key, words]) => <option key={key} value={key}>{words}</option>)}
      </select>
    </label>
  );
}

function Places({ v, filter, clear }: { v: EngineView; filter: string; clear: () => void }) {
  const shown = v.places.filter((p) => filter === '' || p.at.startsWith(`${filter}.`));
  const sheets = [...new Set(shown.map((p) => p.sheet))];
  return (
    <div class="places">
      {filter !== '' && (
        <p class="actions"><button type="button" onClick={clear}>Show all places of {v.engine.asm}</button></p>
      )}
      {sheets.map((sheet) => (
        <Section key={sheet} title={`${sheet}, ${v.engine.asm}`} id={`${v.engine.asm}-${sheet}`}>
          <ul class="lines">
            {shown.filter((p) => p.sheet === sheet).map((p) => <PlaceRow key={p.at} p={p} asm={v.engine.asm} />)}
          </ul>
        </Section>
      ))}
    </div>
  );
}

function PlaceRow({ p, asm }: { p: PlaceLine; asm: string }) {
  return (
    <li>
      <a class="line" href={href('point', { asm, at: p.at })}>
        <span class="line-title">{p.words}</span>
        <span class="count figure">{p.done} of {p.total}</span>
        <VerdictWord g={p.glyph} verdict={p.verdict} word={p.word} />
      </a>
    </li>
  );
}
