// One point: the place with its nominal and limits, own readings, the twin's
// only afterwards, and the pad. Keep goes on to the next point of the walk.
import { useState } from 'preact/hooks';
import type { JobView, PointView, Reading, Written } from '../core/types';
import { keep, status, undoable, view } from '../app/core';
import { armed } from '../app/gauge';
import { go, href, kept, route, routeNow, say, sit, sitting, undone, type Spot } from '../app/state';
import { takeBack } from '../app/undo';
import { EngineName, Problem, ResultLine, Section, settledSide, spoken, useView, VerdictWord, when } from '../widgets/basics';
import { GaugeRow, GaugeSwitch } from '../widgets/gauge-switch';
import { Pad, units } from '../widgets/pad';
import { Hands, otherTaker, taker, TakerChoice } from './hands';
import { PlaceNotes } from './notes';
import { Skip } from './skip';

/** After this long the tool asks whether it is still this engine, in ms. */
const pause = 20 * 60_000;

export function PointScreen({ asm, job }: { asm: string; job: JobView }) {
  const r = route.value;
  const at = r['at'] ?? '';
  const point = r['point'];
  const [shown, setShown] = useState(false);
  const me = taker(); // what is hidden is hidden from the one who reads
  const first = useView<PointView>('point', { asm, at, point: point ?? '', cond: r['cond'] ?? '', me, shown, walk: sitting.value.walk, sheet: sitting.value.sheet });
  const v = first.value;
  if (v === undefined) return <Problem error={first.error} />;
  // While the place is still being opened the one before is drawn: its points are none of this place's.
  const here = v.of.asm === asm && v.of.at === at;
  if (here && point === undefined && v.points.length > 0 && v.points[0]?.point !== '') {
    const open = v.points.find((p) => !p.done) ?? v.points[0];
    if (open !== undefined) queueMicrotask(() => location.replace(href('point', { asm, at, point: open.point, cond: r['cond'] })));
    return null;
  }
  return (
    <div class="point">
      <Kept here={{ asm, at, point: point ?? '' }} />
      <Head v={v} asm={asm} at={at} point={point ?? ''} />
      {v.blind && <p class="notice warn">A check reading was asked for. Measure as if nobody had; what others read stays hidden until yours is kept.</p>}
      <Hands people={job.people} />
      <div class="at-hand">
        <SittingLine v={v} job={job} />
        <GaugeSwitch pad={padOf(v.of.asm, v.of.at ?? '', v.of.point ?? '', v.cond)} />
      </div>
      <Readings v={v} />
      <Taking v={v} job={job} />
      <Skip v={v} asm={asm} at={at} />
      <Short of={v.point_help} />
      <Twin v={v} shown={() => setShown(true)} />
      {v.results.length > 0 && (
        <Section title="What it means">
          <ul class="lines">{v.results.map((l) => <ResultLine key={l.id} l={l} />)}</ul>
        </Section>
      )}
      <PlaceNotes v={v} asm={asm} at={at} />
      <p class="actions"><a class="button" href={href('snags', { asm, at })}>{v.snags === 0 ? 'Raise a snag here' : `Snags here: ${v.snags} open`}</a></p>
      <Ask v={v} asm={asm} at={at} point={point ?? ''} />
    </div>
  );
}

function Head({ v, asm, at, point }: { v: PointView; asm: string; at: string; point: string }) {
  return (
    <div class="point-head">
      <h1>
        {v.words}
        {v.shops.length > 0 && <span class="point-words">{v.shops.join(', ')}</span>}
        <span class="point-words">{v.point_words}{v.point_words !== '' && v.nominal !== undefined && ' · '}{v.nominal !== undefined && <>nominal <b class="figure">{v.nominal}</b></>}</span>
      </h1>
      {v.points.length > 1 && (
        <nav class="points" aria-label="Points of this place">
          {v.points.map((p) => (
            <a key={p.point} class={p.done ? 'done' : ''} aria-current={p.point === point ? 'step' : undefined} href={href('point', { asm, at, point: p.point, cond: v.cond })}>
              <span class="figure">{p.point}</span> <span class="tick">{p.done ? 'done' : p.skipped === true ? 'skipped' : 'open'}</span>
            </a>
          ))}
        </nav>
      )}
    </div>
  );
}

/** What the short names of the points mean. */
function Short({ of }: { of: string[] }) {
  if (of.length === 0) return null;
  const names = of.map((h) => h.slice(0, h.indexOf(':')));
  return (
    <details>
      <summary>What {names.join(', ')} {names.length > 1 ? 'mean' : 'means'}</summary>
      <ul>{of.map((h) => <li key={h}>{h}</li>)}</ul>
    </details>
  );
}

/** What was kept a moment ago, here or on the way here, and what it means: the answer under the vehicle. */
function Kept({ here }: { here: Spot }) {
  const k = kept.value;
  const is = (s: Spot | undefined) => s !== undefined && s.asm === here.asm && s.at === here.at && s.point === here.point;
  if (undone.value !== '') return <p class="notice" data-testid="undone">{undone.value}</p>;
  if (k === undefined || !(is(k) || is(k.to))) return null;
  const to = k.line === undefined ? href('point', { asm: k.asm, at: k.at, point: k.point }) : href('result', { id: k.line.id });
  return (
    <div class="kept">
      <a href={to}>
        <span>Saved: {k.words}</span>
        {k.line !== undefined && <span>{k.line.words.split(' · ').at(-1)}: <VerdictWord g={k.line.glyph} verdict={k.line.verdict} word={k.line.word} /></span>}
      </a>
      {undoable.value?.id === k.id && <button type="button" class="undo-one" data-testid="undo" onClick={() => void takeBack()}>Undo</button>}
    </div>
  );
}

function Readings({ v }: { v: PointView }) {
  if (v.own.length === 0) {
    return <p class="empty">{v.hidden > 0 ? `${v.hidden} reading${v.hidden > 1 ? 's' : ''} hidden until yours is kept.` : 'Nobody has read this yet.'}</p>;
  }
  return (
    <ul class="readings" aria-label="Readings here">
      {v.own.map((x) => <ReadingRow key={x.id} x={x} />)}
    </ul>
  );
}

export function ReadingRow({ x }: { x: Reading }) {
  return (
    <li class={x.state}>
      <a class="reading" href={x.state === 'contested' && x.contest !== undefined ? href('contest', { id: x.contest }) : href('entry', { id: x.id })}>
        <span class="figure value">{x.state === 'struck' ? <s>{x.text}</s> : x.text}</span>
        <span class="who">{[x.by, x.tool, x.zero, x.blind === true ? 'read blind' : ''].filter((t) => t !== undefined && t !== '').join(', ')}</span>
        <span class="word">{x.state === 'struck' ? `struck: ${x.why}` : x.state === 'contested' ? 'not settled: settle it' : (x.why ?? (x.when === undefined ? when(x.at) : `measured ${x.when}, written ${when(x.at).slice(0, 10)}`))}</span>
      </a>
    </li>
  );
}

/** Names a point's pad: its draft, and what a gauge is armed for. */
const padOf = (asm: string, at: string, point: string, cond: string) => `pad:${asm}/${at}/${point}/${cond}`;

/** All that is taken here belongs to the point that is drawn, never to one that is still being opened. */
function Taking({ v, job }: { v: PointView; job: JobView }) {
  const { asm, at = '', point = '' } = v.of;
  const pad = padOf(asm, at, point, v.cond);
  const s = sitting.value;
  const away = Date.now() - s.seen > pause;
  const remembered = s.units[s.instrument] ?? v.unit;
  const over = route.value['over'];
  const reason = (route.value['why'] ?? '').trim(); // given where 'Correct it' was tapped
  const old = v.own.find((x) => x.id === over)?.text;
  const tool = inHand(v, job);
  const gone = () => {
    const r = routeNow();
    return r.screen !== 'point' || (r['asm'] ?? asm) !== asm || r['at'] !== at || (r['point'] ?? '') !== point;
  };
  const onKeep = async (value: Written, draft: string) => {
    // A slip of the pen is put right by anybody; who took the reading stays.
    const by = v.own.find((x) => x.id === over)?.taker ?? taker();
    const body: Record<string, unknown> = { of: v.of, cond: v.cond, value, read_by: by };
    if (tool !== undefined) {
      body['instrument'] = tool.key;
      body['zero'] = tool.zero?.id ?? 'none';
    }
    if (s.temp !== '') body['temp'] = { t: s.temp, u: 'degC' };
    if (v.blind) body['blind'] = true;
    if (over !== undefined && reason !== '') body['note'] = reason;
    const { id } = await keep(over === undefined ? { kind: 'reading', body } : { kind: 'reading', body, over: [over] }, [draft]);
    sit({ seen: Date.now() });
    say('Saved on this phone.');
    const after = await view<PointView>('point', { asm, at, point, cond: v.cond, me: taker(), walk: s.walk, sheet: s.sheet });
    const line = after.results.find((l) => l.cond === v.cond) ?? after.results[0];
    const on = over === undefined && v.next !== undefined && !v.blind ? v.next : undefined;
    kept.value = { words: `${after.own.find((x) => x.id === id)?.text ?? ''}, ${[v.words, point].filter((t) => t !== '').join(', ')}`, id, asm, at, point, ...(on === undefined ? {} : { to: on }), ...(line === undefined ? {} : { line }) };
    if (gone()) return; // elsewhere meanwhile, even between the tap and the disk: do not pull them back
    if (over !== undefined) go('point', { asm, at, point, cond: v.cond });
    else if (on !== undefined) {
      if (armed.value === pad) armed.value = padOf(on.asm, on.at, on.point, v.cond); // the gauge goes on along the walk
      go('point', { asm: on.asm, at: on.at, point: on.point, cond: v.cond });
    }
  };
  /** A gauge may be pressed long after somebody looked at the screen. */
  const hold = () => {
    if (Date.now() - sitting.value.seen <= pause) return '';
    sit({}); // drawn again, it asks
    return 'Some time has passed, so nothing was taken: say first that it is still this engine.';
  };
  if (away) {
    return (
      <div class="still" role="group" aria-label="Still this engine?">
        <p>Some time has passed. Is it still this engine?</p>
        <EngineName e={v.engine} />
        <button type="button" class="wide" onClick={() => sit({ seen: Date.now() })}>Yes, still {asm} {settledSide(v.engine) ?? ''}</button>
        <a class="button" href={href('engine')}>No, choose the engine</a>
      </div>
    );
  }
  const where = [spoken(v.engine), v.words, v.point_words].filter((t) => t !== '').join(' · ');
  return (
    <>
      {over !== undefined && <p class="notice">This takes the place of the reading that you chose. Both stay in the record.</p>}
      <Pad unit={v.unit} begin={units[v.unit]?.includes(remembered) === true ? remembered : v.unit} onUnit={(u) => sit({ units: { ...s.units, [s.instrument]: u } })} lead={v.lead ?? ''} draft={pad} context={{ asm, at, point, cond: v.cond, tool: tool?.key ?? '' }}
        keepLabel={(text) => `Keep ${text}${old === undefined ? '' : ` in place of ${old}`}, ${where}`} onKeep={onKeep} each={s.each} hold={hold} gone={gone} gauge={<GaugeRow pad={pad} />} />
    </>
  );
}

/** The sitting's instrument, where it reads what is measured here at all: a micrometer fills no bowl. */
const inHand = (v: PointView, job: JobView) => job.instruments.find((i) => i.key === sitting.value.instrument && (v.tools.fit.includes(i.key) || v.tools.short.includes(i.key)));

/** Instrument and temperature, chosen once per sitting. */
function SittingLine({ v, job }: { v: PointView; job: JobView }) {
  const s = sitting.value;
  const tool = inHand(v, job);
  const options = (keys: string[]) => job.instruments.filter((i) => keys.includes(i.key)).map((i) => <option key={i.key} value={i.key}>{i.key}, {i.what}</option>);
  const summary = [v.conds.find((c) => c.cond === v.cond)?.words, tool === undefined ? 'no instrument named' : tool.key, s.temp === '' ? '' : `${s.temp} °C`, otherTaker(job.people)].filter((t) => t !== undefined && t !== '').join(' · ');
  return (
    <details class="sitting-box">
      <summary>{summary}</summary>
      <div class="sitting">
      <label>
        condition
        <select value={v.cond} onChange={(e) => go('point', { asm: v.of.asm, at: v.of.at, point: v.of.point, cond: e.currentTarget.value, over: route.value['over'] })}>
          {v.conds.map((c) => <option key={c.cond} value={c.cond}>{c.words}</option>)}
        </select>
      </label>
      <label>
        with
        <select value={tool?.key ?? ''} onChange={(e) => sit({ instrument: e.currentTarget.value })}>
          <option value="">no instrument named</option>
          {options(v.tools.fit)}
          {v.tools.short.length > 0 && <optgroup label="do not reach this size">{options(v.tools.short)}</optgroup>}
        </select>
      </label>
      <TakerChoice people={job.people} />
      <label>
        temperature
        <input class="figure" inputMode="decimal" value={s.temp} placeholder="°C" onInput={(e) => sit({ temp: e.currentTarget.value.replace(',', '.').replace(/[^0-9.−-]/g, '') })} />
      </label>
      {tool !== undefined && <p class="fine">{tool.zero === undefined ? 'Zero not checked: the reading will say so.' : `Zero check: ${tool.zero.text}, ${when(tool.zero.at)}.`}</p>}
      </div>
    </details>
  );
}

function Twin({ v, shown }: { v: PointView; shown: () => void }) {
  const t = v.twin;
  if (t === undefined) return null;
  return (
    <Section title={`The other engine, ${t.engine.asm}`}>
      {t.hidden ? (
        <button type="button" onClick={shown}>{t.count} reading{t.count > 1 ? 's' : ''} hidden: show</button>
      ) : (
        <ul class="readings">{t.readings.map((x) => <ReadingRow key={x.id} x={x} />)}</ul>
      )}
    </Section>
  );
}

function Ask({ v, asm, at, point }: { v: PointView; asm: string; at: string; point: string }) {
  if (status.value.role !== 'lead' || v.own.length === 0) return null;
  const ask = async () => {
    await keep({ kind: 'ask', body: { of: v.of, cond: v.cond } });
    say('A check reading is asked for.');
    go('point', { asm, at, point, cond: v.cond });
  };
  return <p class="actions"><button type="button" onClick={() => void ask()}>Ask for a check reading, unseen</button></p>;
}
