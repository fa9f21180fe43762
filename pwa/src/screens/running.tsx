// An engine that runs: read at a glance, worked with one hand. Every tap is an
// entry on the disk before it is shown.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { RunSide, RunTile, RunView, Written } from '../core/types';
import { keep } from '../app/core';
import { armSound, chime, clock, counting, keepLit, tick, ticking } from '../app/holding';
import { doubts, type Count } from '../app/holdclock';
import { go, say } from '../app/state';
import { Band, Caution, Problem, sideWords } from '../widgets/basics';
import { useCamera } from '../widgets/camera';
import { useDraft } from '../widgets/draft';
import { Pad } from '../widgets/pad';
import { Alarms, DrillLine } from './runalarm';
import { MatchingNow, roundOf } from './matching';
import { RunGraphs, RunLog } from './runreport';
import { Sampling } from './sampling';

/** What a tap says of the run, but for whose engine and when. */
type Said = Record<string, unknown>;

const seconds = (c: Count) => Math.floor(c.ms / 1000);

/** A time since the start as it stands in the log: 3:05. */
export function clockText(s: number): string {
  const two = (n: number) => String(n).padStart(2, '0');
  return s < 3600 ? `${Math.floor(s / 60)}:${two(s % 60)}` : `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}

export function Running({ v, asm }: { v: RunView; asm: string }) {
  useEffect(ticking, []);
  useEffect(keepLit, []);
  const side = v.sides.find((s) => s.engine.asm === asm) ?? v.sides[0];
  if (!counting.value || side === undefined) return null;
  return <Logged key={side.engine.asm} v={v} side={side} />;
}

/** Keeps a line of the run; what goes wrong stands on the screen until the next tap. */
function useLog(v: RunView, side: RunSide) {
  const [problem, setProblem] = useState<string | undefined>();
  const log = async (what: Said, words: string, at: Count = clock.of(v.id, v.at), finished: string[] = []): Promise<string | undefined> => {
    armSound();
    const doubt = doubts(at);
    try {
      const { id } = await keep({ kind: 'run', body: { of: side.of, run: v.id, elapsed: { t: String(seconds(at)), u: 's' }, ...(doubt.length === 0 ? {} : { clock: doubt.join(' ') }), ...what } }, finished);
      setProblem(undefined);
      say(`${words} saved on this phone.`);
      return id;
    } catch (e) {
      setProblem(`Not saved: ${(e as Error).message}`);
      return undefined;
    }
  };
  return { log, problem };
}

type Log = ReturnType<typeof useLog>['log'];

function Logged({ v, side }: { v: RunView; side: RunSide }) {
  void tick.value;
  const { log, problem } = useLog(v, side);
  const now = clock.of(v.id, v.at);
  const whose = `${side.engine.name} (${side.engine.asm})`;
  return (
    <>
      {v.sides.length > 1 && <Sides v={v} side={side} />}
      <Alarms v={v} now={seconds(now)} log={(...line) => logOf(v, ...line)} />
      <Clock v={v} side={side} now={now} />
      <Problem error={problem} />
      {side.state !== 'stopped' && <First side={side} log={log} />}
      <Gauges v={v} side={side} log={log} whose={whose} />
      {side.state !== 'stopped' && side.state !== 'cranking' && <Stations v={v} side={side} log={log} />}
      <Events v={v} side={side} log={log} />
      {v.matching !== undefined && <MatchingNow m={v.matching} v={v} side={side} />}
      {side.state === 'stopped'
        ? <p class="notice"><b>{side.engine.asm} has stopped{side.ran === undefined ? '' : ` after ${side.ran}`}.</b> The run ends when every engine of it has stopped.</p>
        : <button type="button" class="keep stop" data-testid="stopped" onClick={() => void log({ does: 'stop', why: side.alarms.length > 0 ? `alarm: ${side.alarms[0]?.title ?? ''}` : 'as planned' }, 'Stop')}>■ It has stopped, {whose}</button>}
      <Sampling v={v} side={side} />
      <More v={v} side={side} now={seconds(now)} log={log} />
      <RunGraphs v={v} />
      <RunLog v={v} />
      <p class="knows">{v.knows}</p>
      <Caution texts={v.cautions} />
      <DrillLine v={v} />
    </>
  );
}

/** A line of the other engine than the one on the screen: an alarm shows for both. */
async function logOf(v: RunView, asm: string, what: Said, words: string, finished: string[] = []): Promise<void> {
  const side = v.sides.find((s) => s.engine.asm === asm);
  if (side === undefined) return;
  await keep({ kind: 'run', body: { of: side.of, run: v.id, elapsed: { t: String(seconds(clock.of(v.id, v.at))), u: 's' }, ...what } }, finished);
  say(`${words} saved on this phone.`);
}

function Sides({ v, side }: { v: RunView; side: RunSide }) {
  return (
    <div class="switch" role="group" aria-label="Which engine this phone logs">
      {v.sides.map((s) => (
        <button key={s.engine.asm} type="button" aria-pressed={s.engine.asm === side.engine.asm} onClick={() => go('run', { asm: s.engine.asm, id: v.id })}>
          <Band kind={s.engine.band} /> <span><b class="figure">{s.engine.asm}</b> {sideWords(s.engine)}</span>
        </button>
      ))}
    </div>
  );
}

/** Time since the start, and how long it is to the next reading, as a line that shrinks. */
function Clock({ v, side, now }: { v: RunView; side: RunSide; now: Count }) {
  const s = seconds(now);
  const left = side.due_s === undefined ? undefined : side.due_s - s;
  const rang = useRef(0);
  useEffect(() => {
    if (left === undefined || left > 0 || rang.current === side.due_s) return;
    rang.current = side.due_s ?? 0;
    chime();
  }, [left !== undefined && left <= 0, side.due_s]);
  const doubt = doubts(now);
  return (
    <>
      <p class="run-clock"><b class="figure" role="timer" aria-live="off" data-testid="run-clock">{clockText(s)}</b> <span>{side.state_words}{v.unreleased === undefined ? '' : ` · ${v.unreleased}`}</span></p>
      {left !== undefined && (
        <p class={`due ${left <= 0 ? 'over' : ''}`} data-testid="due">
          <progress max={side.every_s} value={Math.max(0, left)} aria-label="Time to the next reading" />
          <span>{left > 0 ? `read again in ${clockText(left)}` : `▶ read the gauges now, ${clockText(-left)} late`}</span>
        </p>
      )}
      {doubt.length > 0 && <div class="notice warn" data-testid="clock-doubt">{doubt.map((d) => <p key={d}>{d}</p>)}<Right id={v.id} /></div>}
    </>
  );
}

/** The time since the start by a clock that is believed; what was logged before keeps its time. */
function Right({ id }: { id: string }) {
  const [min, setMin] = useState('');
  const [s, setS] = useState('');
  const digits = (e: { currentTarget: { value: string } }) => e.currentTarget.value.replace(/[^0-9]/g, '');
  return (
    <details>
      <summary>Put the time right</summary>
      <p class="fine">As it stands at the bench now. What was logged before keeps its time.</p>
      <label>Minutes since the start<input class="figure" inputMode="numeric" value={min} onInput={(e) => setMin(digits(e))} /></label>
      <label>and seconds<input class="figure" inputMode="numeric" value={s} onInput={(e) => setS(digits(e))} /></label>
      {min !== '' && <button type="button" onClick={() => clock.right(id, 1000 * (60 * Number(min) + Number(s)))}>It is {clockText(60 * Number(min) + Number(s))} now</button>}
    </details>
  );
}

/** The first seconds: one tap each, figures afterwards. */
function First({ side, log }: { side: RunSide; log: Log }) {
  const tap = (seen: string) => void log({ does: 'sample', what: 'oil.pressure', seen }, `Pressure ${seen}`);
  return (
    <div class="first">
      {side.state === 'cranking' && <button type="button" class="tap" data-testid="fired" onClick={() => void log({ does: 'event', event: 'fired' }, 'Fired')}>It fires</button>}
      {!side.seen && side.state !== 'running' && <button type="button" class="tap" data-testid="seen" onClick={() => tap('seen')}>Pressure seen</button>}
      {!side.band && side.state !== 'running' && <button type="button" class="tap" data-testid="band" onClick={() => tap('in band')}>Pressure in band</button>}
    </div>
  );
}

/** A gauge that is being typed in: read under the finger, kept when its figures are there. */
interface Open { what: string; count: Count; fill?: string }

function Gauges({ v, side, log, whose }: { v: RunView; side: RunSide; log: Log; whose: string }) {
  const key = `${v.id}:${side.engine.asm}`;
  const [open, setOpen] = useDraft<Open | undefined>(`rungauge:${key}`, undefined);
  const [chosen, setChosen] = useDraft<string[]>('rungauges', []);
  const tile = side.tiles.find((t) => t.what === open?.what);
  const shown = side.tiles.filter((t) => t.first === true || t.figure !== undefined || chosen.includes(t.what));
  const others = side.tiles.filter((t) => !shown.includes(t));
  const keepValue = async (value: Written, draft: string) => {
    if (open === undefined) return;
    const fill = side.fill.find((f) => f.id === open.fill);
    if (fill !== undefined) await keep({ kind: 'run', body: { ...fill.body, value, later: true }, over: [fill.id] }, [draft]);
    else if ((await log({ does: 'sample', what: open.what, value, ...(side.station === undefined ? {} : { station: side.station }), ...roundOf(v, side, open.what) }, tile?.words ?? open.what, open.count, [draft])) === undefined) throw new Error('it could not be kept.');
    setOpen(undefined);
  };
  if (open !== undefined && tile !== undefined) {
    const fill = side.fill.find((f) => f.id === open.fill);
    return (
      <section class="typing" aria-label={tile.words}>
        <h2>{tile.words}, read at <span class="figure">{fill?.at ?? clockText(seconds(open.count))}</span>{fill === undefined ? '' : ', filled in now'}</h2>
        <Pad unit={tile.unit} lead="" draft={`run:${key}:${open.what}:${open.fill ?? ''}`} context={{}} keepLabel={(t) => `Keep ${t}, ${tile.words.toLowerCase()}, ${whose}`} onKeep={keepValue} />
        <button type="button" class="wide" onClick={() => setOpen(undefined)}>Not now</button>
      </section>
    );
  }
  const take = (what: string, fill?: string) => setOpen({ what, count: clock.of(v.id, v.at), ...(fill === undefined ? {} : { fill }) });
  return (
    <>
      <div class="tiles">{shown.map((t) => <Tile key={t.what} t={t} take={() => take(t.what)} />)}</div>
      {side.fill.length > 0 && <p class="fills">{side.fill.map((f) => <button key={f.id} type="button" data-testid="fill" onClick={() => take(f.what, f.id)}>{f.words} {f.seen} at {f.at}: fill in the figure</button>)}</p>}
      {others.length > 0 && (
        <label class="more-gauges">Another gauge
          <select value="" onChange={(e) => setChosen([...chosen, e.currentTarget.value])}>
            <option value="">choose</option>
            {others.map((t) => <option key={t.what} value={t.what}>{t.words}</option>)}
          </select>
        </label>
      )}
    </>
  );
}

function Tile({ t, take }: { t: RunTile; take: () => void }) {
  return (
    <button type="button" class={`tile ${t.alarm === true ? 'alarm' : ''}`} data-testid={`tile-${t.what}`} onClick={take}>
      <span class="tile-head">{t.alarm === true ? '■ ' : ''}{t.words}</span>
      {t.limit !== undefined && <span class="tile-limit">{t.limit}</span>}
      <span class="tile-at">{t.at === undefined ? 'not read yet' : `at ${t.at}`}</span>
      <span class={`tile-figure figure ${t.figure !== undefined && t.symbol === undefined ? 'said' : ''}`}>{t.figure ?? '·'}{t.symbol !== undefined && <small> {t.symbol}</small>}</span>
    </button>
  );
}

function Stations({ v, side, log }: { v: RunView; side: RunSide; log: Log }) {
  const [own, setOwn] = useState('');
  const hold = (key: string, words: string) => void log({ does: 'event', event: 'station', station: key }, `Station ${words}`);
  return (
    <fieldset class="stations">
      <legend>Speed that is held</legend>
      {v.stations.map((s) => <button key={s.key} type="button" aria-pressed={s.key === side.station} onClick={() => hold(s.key, s.words)}>{s.words}</button>)}
      <label class="own-station">Another, rpm<input class="figure" inputMode="numeric" value={own} onInput={(e) => setOwn(e.currentTarget.value.replace(/[^0-9]/g, ''))} /></label>
      {own !== '' && <button type="button" onClick={() => (hold(own, own), setOwn(''))}>Hold {own}</button>}
    </fieldset>
  );
}

/** One tap each; where it leaks is asked after the leak is saved. */
function Events({ v, side, log }: { v: RunView; side: RunSide; log: Log }) {
  const [where, setWhere] = useState<{ id: string; at: Count } | undefined>();
  const tap = async (e: RunView['events'][number]) => {
    const at = clock.of(v.id, v.at);
    const id = await log({ does: 'event', event: e.event }, e.words, at);
    if (e.where === true && id !== undefined) setWhere({ id, at });
  };
  return (
    <>
      {where !== undefined && <Where v={v} side={side} id={where.id} at={where.at} done={() => setWhere(undefined)} />}
      <div class="events" role="group" aria-label="What happens">
        {v.events.filter((e) => e.event !== 'fired').map((e) => (
          <button key={e.event} type="button" class={e.drill === undefined ? '' : 'stops'} data-testid={`event-${e.event}`} onClick={() => void tap(e)}>{e.drill === undefined ? '' : '■ '}{e.words}</button>
        ))}
      </div>
    </>
  );
}

function Where({ v, side, id, at, done }: { v: RunView; side: RunSide; id: string; at: Count; done: () => void }) {
  const [own, setOwn] = useState('');
  const [error, setError] = useState<string | undefined>();
  const put = async (words: string) => {
    try {
      await keep({ kind: 'run', body: { of: side.of, does: 'event', run: v.id, elapsed: { t: String(seconds(at)), u: 's' }, event: 'leak', words }, over: [id] });
      say('Saved on this phone.');
      done();
    } catch (e) {
      setError((e as Error).message);
    }
  };
  return (
    <fieldset class="stations" data-testid="where">
      <legend>The leak is saved. Where is it?</legend>
      {v.leaks.map((l) => <button key={l} type="button" onClick={() => void put(l)}>{l}</button>)}
      <label class="own-station">In words<input value={own} onInput={(e) => setOwn(e.currentTarget.value)} /></label>
      {own.trim() !== '' && <button type="button" onClick={() => void put(own.trim())}>Keep it</button>}
      <button type="button" onClick={done}>Later</button>
      <Problem error={error} />
    </fieldset>
  );
}

/** Words and photos of the run. */
function More({ v, side, now, log }: { v: RunView; side: RunSide; now: number; log: Log }) {
  const draft = `runnote:${v.id}`;
  const [text, setText, textKept] = useDraft(draft, '');
  const { button, says } = useCamera({ body: { of: side.of, caption: `${v.title}, ${clockText(now)}` }, words: `${side.engine.asm}, ${v.title}` });
  const note = async (e: Event) => {
    e.preventDefault();
    if (text.trim() !== '' && (await log({ does: 'event', event: 'note', words: text.trim() }, 'Note', undefined, [draft])) !== undefined) textKept();
  };
  return (
    <details>
      <summary>A word or a photo to the run</summary>
      <form class="note-form" onSubmit={(e) => void note(e)}>
        <label>In words<textarea rows={2} value={text} onInput={(e) => setText(e.currentTarget.value)} required /></label>
        <button type="submit">Keep it</button>
      </form>
      {button}
      {says}
    </details>
  );
}
