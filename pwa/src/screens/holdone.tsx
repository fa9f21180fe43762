// One hold test: the time while it runs, the end reading, the verdict.
import { useEffect, useState } from 'preact/hooks';
import type { HoldEnd, HoldView } from '../core/types';
import { keep } from '../app/core';
import { armSound, clock, counting, keepLit, tick, ticking } from '../app/holding';
import { basis, doubts, seconds, span, type Count } from '../app/holdclock';
import { href, say } from '../app/state';
import { Caution, EngineName, Problem, Section, sentence, spoken, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { NotAsked, TwoFigures, type Said } from './hold';
import { ResultBody } from './results';

export function OneHold({ id, asm }: { id: string; asm: string }) {
  const { value: v, error } = useView<HoldView>('hold', { id });
  if (v === undefined) return <Problem error={error} />;
  if (v.state === 'running') return counting.value ? <Running v={v} /> : null;
  const settle = v.contest ?? v.ends.find((e) => e.why === undefined)?.contest;
  return (
    <>
      {v.whole === undefined ? <><h1>Hold test: {v.test}</h1><p><EngineName e={v.engine} /></p><p class="notice warn">{sentence(v.word)}</p></> : <ResultBody r={v.whole} />}
      {settle !== undefined && <a class="button wide" href={href('contest', { id: settle })}>Not settled: settle it</a>}
      {v.proves.length > 0 && (
        <Section title="Was it dry?">
          <p>This test was begun after these were cured. Whoever saw it dry says so there:</p>
          <ul class="plain-list todo">{v.proves.map((s) => <li key={s.id}><a href={href('snag', { id: s.id, asm: s.asm })}>{[s.place, s.what].filter((t) => t !== undefined).join(': ')}</a></li>)}</ul>
        </Section>
      )}
      <Story v={v} />
      <p class="actions">
        <a class="button" href={href('hold', { asm, test: v.test })}>Hold it again</a>
        <a class="button" href={href('hold', { asm })}>All hold tests of {asm}</a>
      </p>
    </>
  );
}

function Begun({ v }: { v: HoldView }) {
  const lines: [string, string | undefined][] = [
    ['begun at', v.from], ['by', `${v.by}, ${when(v.at)}`], ['to be held', v.wait], ['gauge', v.gauge], ['read as', v.vacuum === true ? 'a vacuum without a minus sign' : undefined],
    ['volume', v.volume], ['limit', v.limit], ['note', v.note],
  ];
  return <dl>{lines.filter(([, t]) => t !== undefined).map(([name, t]) => <div key={name}><dt>{name}</dt><dd>{t}</dd></div>)}</dl>;
}

/** What was taken at the end: kept through a reload until it is saved as an entry. */
interface Ending { count: Count; pressure?: Said; temp?: Said | 'none'; right: string }

function Running({ v }: { v: HoldView }) {
  const [ending, setEnding] = useDraft<Ending | undefined>(`holdend:${v.id}`, undefined);
  useEffect(ticking, []);
  useEffect(keepLit, []);
  return (
    <>
      <h1>Hold test: {v.test}</h1>
      <NotAsked words={v.not_asked} />
      {ending === undefined ? <Held v={v} take={(count) => setEnding({ count, right: '' })} /> : <End v={v} e={ending} set={setEnding} />}
      <Begun v={v} />
      <GiveUp v={v} />
      <Caution texts={[v.caution]} />
    </>
  );
}

function Held({ v, take }: { v: HoldView; take: (c: Count) => void }) {
  void tick.value;
  const count = clock.of(v.id, v.at);
  const wanted = 1000 * (v.wait_s ?? 0);
  const left = wanted - count.ms;
  return (
    <>
      <p class="elapsed figure" role="timer" aria-live="off" data-testid="elapsed">{span(count.ms)}</p>
      {wanted > 0 && <progress max={wanted} value={Math.min(wanted, count.ms)} aria-label="Time held of the time wanted" />}
      <p class="hold-left">{wanted === 0 ? 'held so far' : left > 0 ? `of ${v.wait}: ${span(left + 999)} to go` : `${v.wait} are over`}</p>
      <Trust count={count} />
      <p class="fine">The start is saved. Lock the phone, close the app or put it away: the time goes on.</p>
      <button type="button" class="keep" data-testid="take-end" onClick={() => (armSound(), take(clock.of(v.id, v.at)))}>Take the end reading</button>
    </>
  );
}

/** What the time rests on; whatever makes it doubtful stands out. */
function Trust({ count }: { count: Count }) {
  const doubt = doubts(count);
  return (
    <>
      {doubt.length > 0 && <div class="notice warn" data-testid="clock-doubt">{doubt.map((d) => <p key={d}>{d}</p>)}<p>Put the time right when the end is taken, if you know better.</p></div>}
      {basis(count).map((b) => <p key={b} class="fine">{b}</p>)}
    </>
  );
}

function End({ v, e, set }: { v: HoldView; e: Ending; set: (e: Ending | undefined) => void }) {
  const [problem, setProblem] = useState<string | undefined>();
  const [busy, setBusy] = useState(false);
  const held = e.right === '' ? seconds(e.count) : 60 * Number(e.right);
  const time = e.right === '' ? span(1000 * seconds(e.count)) : `${e.right} min`;
  const whose = `${spoken(v.engine)} · ${v.test}`;
  const save = async () => {
    setBusy(true);
    try {
      await keep({ kind: 'hold-test', body: endBody(v, e) }, [`holdend:${v.id}`]);
      clock.forget(v.id);
      say('The end is saved on this phone.');
    } catch (x) {
      setProblem(`Not saved: ${(x as Error).message}`);
      setBusy(false);
    }
  };
  return (
    <>
      <p class="elapsed figure" data-testid="elapsed">{time}</p>
      <p class="hold-left">{e.right === '' ? 'held when you pressed; read the gauge now' : `put right by you; the phone counted ${span(1000 * seconds(e.count))}`}</p>
      <Trust count={e.count} />
      {v.wait_s !== undefined && held < 0.99 * v.wait_s && <p class="notice warn" role="alert">It was meant to hold {v.wait}. Ended now, it proves nothing yet: <button type="button" onClick={() => set(undefined)}>Go on holding</button></p>}
      <details>
        <summary>Put the time right</summary>
        <label>Held, minutes<input class="figure" inputMode="decimal" value={e.right} onInput={(x) => set({ ...e, right: x.currentTarget.value.replace(',', '.').replace(/[^0-9.]/g, '') })} /></label>
        <p class="fine">What the phone counted is kept beside it. Empty: as it was counted.</p>
      </details>
      <TwoFigures pressure={e.pressure} temp={e.temp} unit={v.unit} tempUnit={v.temp_unit ?? 'degC'} draft={`holdend:${v.id}`} whose={whose} reach
        onPressure={(pressure) => set({ ...e, pressure })} onTemp={(temp) => set({ ...e, temp })} />
      <Problem error={problem} />
      {e.pressure !== undefined && e.temp !== undefined && (
        <button type="button" class="keep" disabled={busy} data-testid="keep-end" onClick={() => void save()}>
          Keep the end: {e.pressure.text}{e.temp === 'none' ? '' : ` at ${e.temp.text}`} after {time}, {whose}
        </button>
      )}
      <button type="button" class="wide" onClick={() => set(undefined)}>Not yet: go on holding</button>
    </>
  );
}

function endBody(v: HoldView, e: Ending): Record<string, unknown> {
  const own = { t: String(seconds(e.count)), u: 's' };
  const body: Record<string, unknown> = { ...v.end, pressure: e.pressure?.w, elapsed: e.right === '' ? own : { t: e.right, u: 'min' } };
  if (e.temp !== undefined && e.temp !== 'none') body['temp'] = e.temp.w;
  if (e.right !== '') body['counted'] = own;
  const trust = [...doubts(e.count), ...basis(e.count)];
  if (trust.length > 0) body['clock'] = trust.join(' ');
  return body;
}

function GiveUp({ v }: { v: HoldView }) {
  const draft = `giveup:${v.id}`;
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [problem, setProblem] = useState<string | undefined>();
  const give = async () => {
    if (why.trim() === '') return setProblem('Say why; it stays in the record, struck through.');
    try {
      await keep({ kind: 'withdraw', body: { why: why.trim() }, over: [v.id] }, [draft]);
      whyKept();
      clock.forget(v.id);
      say('Given up. It stays in the record, struck through.');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <details>
      <summary>Give this test up</summary>
      <label>Why<textarea rows={2} value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></label>
      <Problem error={problem} />
      <button type="button" onClick={() => void give()}>Give it up</button>
    </details>
  );
}

/** Start and ends, with what was doubted about the time; each leads to its entry. */
function Story({ v }: { v: HoldView }) {
  return (
    <Section title="What was taken">
      <ul class="readings">
        <li><a class="reading" href={href('entry', { id: v.id })}>
          <span class="figure value">{v.state === 'struck' ? <s>{v.from}</s> : v.from}</span><span>start</span>
          <span class="word">{v.why === undefined ? [v.by, when(v.at), v.gauge, v.note].filter((t) => t !== undefined).join(', ') : `struck: ${v.why}`}</span>
        </a></li>
        {v.ends.map((e) => <EndRow key={e.id} e={e} />)}
      </ul>
    </Section>
  );
}

function EndRow({ e }: { e: HoldEnd }) {
  const time = e.counted === undefined ? `after ${e.held}` : `after ${e.held}, put right; the phone counted ${e.counted}`;
  return (
    <li class={e.contest === undefined ? '' : 'contested'}><a class="reading" href={href('entry', { id: e.id })}>
      <span class="figure value">{e.why === undefined ? e.to : <s>{e.to}</s>}</span><span>end, {time}</span>
      <span class="word">{e.why === undefined ? [e.contest === undefined ? undefined : 'not settled', e.by, when(e.at), e.clock, e.note].filter((t) => t !== undefined).join(', ') : `struck: ${e.why}`}</span>
    </a></li>
  );
}
