// Hold tests of an engine: those that run and ran, and the beginning of one.
// The start is an entry of its own, saved at once, so that the phone may be put
// away, closed or die while the pressure is held.
import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { HoldLine, HoldsView, SayView, Written } from '../core/types';
import { dropDraft, keep, view } from '../app/core';
import { armSound, clock } from '../app/holding';
import { go, href, route, say } from '../app/state';
import { Caution, Problem, Section, spoken, useView, VerdictWord, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { Pad } from '../widgets/pad';
import { OneHold } from './holdone';

/** A value as written, with the words that the core reads it back in. */
export interface Said { w: Written; text: string }

export const readBack = async (w: Written): Promise<Said> => ({ w, text: (await view<SayView>('say', w)).text });

export function HoldScreen({ asm }: { asm: string }) {
  const id = route.value['id'];
  return <div class="hold">{id === undefined ? <Holds asm={asm} /> : <OneHold key={id} id={id} asm={asm} />}</div>;
}

function Holds({ asm }: { asm: string }) {
  const { value: v, error } = useView<HoldsView>('holds', { asm });
  if (v === undefined || v.engine.asm !== asm) return <Problem error={error} />;
  const running = v.tests.filter((t) => t.state === 'running');
  const others = v.tests.filter((t) => t.state !== 'running');
  return (
    <>
      <h1>Hold test</h1>
      {running.length > 0 && <Section title="Being held now"><Lines tests={running} /></Section>}
      <Begin key={asm} v={v} asm={asm} />
      {others.length > 0 && <Section title="Hold tests before"><Lines tests={others} /></Section>}
    </>
  );
}

function Lines({ tests }: { tests: HoldLine[] }) {
  return <ul class="lines">{tests.map((t) => <Row key={t.id} t={t} />)}</ul>;
}

function Row({ t }: { t: HoldLine }) {
  const r = t.state === 'done' || t.state === 'contested' ? t.result : undefined;
  return (
    <li>
      <a class="line" href={href('hold', { asm: t.asm, id: t.id })}>
        <span class="line-title">{t.test === '' ? 'an end without its start' : t.test}, <span class="figure">{when(t.at)}</span></span>
        {r === undefined ? <span class="verdict"><span aria-hidden="true">{t.state === 'running' ? '▷' : '–'}</span> <span class="word">{t.word}</span></span> : <VerdictWord g={r.glyph} verdict={r.verdict} word={r.word} />}
        <span class="line-says">{r?.says ?? (t.to === undefined ? `from ${t.from}, ${t.by}` : `${t.from} to ${t.to} in ${t.held}`)}</span>
      </a>
    </li>
  );
}

/** A figure that was read longer ago than this, in ms, is read again. */
const stale = 20 * 60_000;

interface Form { seen: number; test: string; own: string; gauge: string; wait: string; vacuum: boolean; volume: string; pressure?: Said; temp?: Said | 'none' }

const empty: Form = { seen: 0, test: '', own: '', gauge: '', wait: '15', vacuum: false, volume: '' };
const something = 'something else';
const figure = (t: string) => t.replace(',', '.').replace(/[^0-9.]/g, '');

/** What is filled in outlives a reload (T3); a pressure of yesterday does not begin a test of today. */
function useForm(asm: string): [Form, (change: Partial<Form>) => void] {
  const [form, setForm] = useDraft<Form>(`hold:${asm}`, { ...empty, test: route.value['test'] ?? '' }, (old) => {
    const fresh = Math.abs(Date.now() - old.seen) < stale ? old : { ...old, pressure: undefined, temp: undefined };
    return { ...fresh, test: route.value['test'] ?? old.test };
  });
  return [form, (change) => setForm({ ...form, ...change, seen: Date.now() })];
}

function Begin({ v, asm }: { v: HoldsView; asm: string }) {
  const [form, fill] = useForm(asm);
  const [problem, setProblem] = useState<string | undefined>();
  const [busy, setBusy] = useState(false);
  const test = form.test === something ? form.own.trim() : form.test;
  const choice = v.choices.find((c) => c.test === form.test);
  const { value: now } = useView<HoldsView>('holds', { asm, draft: bodyOf(form, test, v, []) });
  const begin = async () => {
    if (test === '') return setProblem('Say what is held.');
    if (form.pressure === undefined) return setProblem('Read the gauge first.');
    const at = clock.look(); // the time begins under the finger, not when the disk is done
    armSound();
    setBusy(true);
    try {
      const { id } = await keep({ kind: 'hold-test', body: bodyOf(form, test, v, choice?.again ?? []), after: v.after }, [`hold:${asm}`]);
      clock.begin(id, at);
      say('Begun, and saved on this phone. It may be put away.');
      go('hold', { asm, id });
    } catch (e) {
      setProblem(`Not begun: ${(e as Error).message}`);
      setBusy(false);
    }
  };
  const whose = spoken(v.engine);
  return (
    <Section title="Begin a hold test">
      <Caution texts={[v.caution]} />
      <label>What is held
        <select value={form.test} onChange={(e) => fill({ test: e.currentTarget.value, wait: v.choices.find((c) => c.test === e.currentTarget.value)?.wait ?? form.wait })}>
          <option value="">choose</option>
          {v.choices.map((c) => <option key={c.test} value={c.test}>{c.test}</option>)}
          <option value={something}>{something}</option>
        </select>
      </label>
      {form.test === something && <label>In words<input value={form.own} onInput={(e) => fill({ own: e.currentTarget.value })} /></label>}
      {form.test !== '' && <p class="fine">{choice?.limit === undefined ? 'No limit is set for this: the verdict will be the loss alone.' : `Limit: ${choice.limit}`}</p>}
      {choice !== undefined && choice.again.length > 0 && <p class="fine">It was held before; this test answers that one.</p>}
      <label>Hold for, minutes<input class="figure" inputMode="decimal" value={form.wait} onInput={(e) => fill({ wait: figure(e.currentTarget.value) })} /></label>
      <More v={v} form={form} fill={fill} />
      <Figures v={v} form={form} fill={fill} asm={asm} whose={`${whose}${test === '' ? '' : ` · ${test}`}`} />
      <NotAsked words={test === '' ? [] : now?.not_asked} />
      <Problem error={problem} />
      {form.pressure !== undefined && form.temp !== undefined && (
        <button type="button" class="keep" disabled={busy} data-testid="begin" onClick={() => void begin()}>
          Start: {test === '' ? 'what is held?' : test}, {form.pressure.text}{form.temp === 'none' ? '' : ` at ${form.temp.text}`}, {whose}
        </button>
      )}
    </Section>
  );
}

/** What keeps a test from being the one that its limit asks for: said while it can still be put right. */
export function NotAsked({ words = [] }: { words?: string[] | undefined }) {
  return words.length === 0 ? null : <div class="notice warn" role="alert">{words.map((w) => <p key={w}>{w}</p>)}</div>;
}

function bodyOf(f: Form, test: string, v: HoldsView, again: string[]): Record<string, unknown> {
  const body: Record<string, unknown> = { of: v.of, test, pressure: f.pressure?.w };
  if (f.temp !== undefined && f.temp !== 'none') body['temp'] = f.temp.w;
  if (f.gauge !== '') body['gauge'] = f.gauge;
  if (f.wait !== '') body['wait'] = { t: f.wait, u: 'min' };
  if (f.vacuum) body['vacuum'] = true;
  if (f.volume !== '') body['volume'] = { t: f.volume, u: 'L' };
  if (again.length > 0) body['again'] = again;
  return body;
}

function More({ v, form, fill }: { v: HoldsView; form: Form; fill: (change: Partial<Form>) => void }) {
  const summary = ['Gauge, vacuum, volume', form.gauge, form.vacuum ? 'vacuum' : '', form.volume === '' ? '' : `${form.volume} l`].filter((t) => t !== '').join(' · ');
  return (
    <details>
      <summary>{summary}</summary>
      <label>Gauge
        <select value={form.gauge} onChange={(e) => fill({ gauge: e.currentTarget.value })}>
          <option value="">no gauge named</option>
          {v.gauges.map((g) => <option key={g.key} value={g.key}>{g.key}, {g.what}, in steps of {g.res}</option>)}
        </select>
      </label>
      <label class="choice"><input type="checkbox" checked={form.vacuum} onChange={(e) => fill({ vacuum: e.currentTarget.checked })} /> A vacuum, read without a minus sign</label>
      <label>Volume shut in, litres, if it is known<input class="figure" inputMode="decimal" value={form.volume} onInput={(e) => fill({ volume: figure(e.currentTarget.value) })} /></label>
    </details>
  );
}

function Figures({ v, form, fill, asm, whose }: { v: HoldsView; form: Form; fill: (change: Partial<Form>) => void; asm: string; whose: string }) {
  const unit = v.gauges.find((g) => g.key === form.gauge)?.unit ?? 'bar';
  return (
    <TwoFigures pressure={form.pressure} temp={form.temp} unit={unit} tempUnit="degC" draft={`hold:${asm}`} whose={whose}
      onPressure={(pressure) => fill({ pressure })} onTemp={(temp) => fill({ temp })} />
  );
}

interface Two {
  /** The pad comes into reach by itself: somebody stands at the gauge. */
  reach?: boolean;
  pressure: Said | undefined; temp: Said | 'none' | undefined; unit: string; tempUnit: string; draft: string; whose: string;
  onPressure: (s: Said | undefined) => void; onTemp: (s: Said | 'none' | undefined) => void;
}

/** Pressure, then temperature, on the pad: one after the other, each read back large and open to change. */
export function TwoFigures({ pressure, temp, unit, tempUnit, draft, whose, onPressure, onTemp, reach = false }: Two) {
  return (
    <>
      {pressure !== undefined && <Given what="Pressure" text={pressure.text} change={() => onPressure(undefined)} />}
      {pressure !== undefined && temp !== undefined && <Given what="Temperature" text={temp === 'none' ? 'not read' : temp.text} change={() => onTemp(undefined)} />}
      {pressure === undefined && (
        <Step title="Pressure on the gauge" reach={reach}>
          <Pad key={`p${unit}`} unit={unit} lead="" draft={`${draft}:pressure:${unit}`} context={{}} keepLabel={(t) => `${t}, ${whose}: on to the temperature`} onKeep={(w, d) => readBack(w).then(onPressure).then(() => dropDraft(d))} />
        </Step>
      )}
      {pressure !== undefined && temp === undefined && (
        <Step title="Temperature of what is held" reach>
          <p class="fine">On the metal or in the water. Without it at both ends the loss cannot be told from cooling.</p>
          <Pad key="t" unit={tempUnit} lead="" draft={`${draft}:temp`} context={{}} keepLabel={(t) => `${t}, ${whose}`} onKeep={(w, d) => readBack(w).then(onTemp).then(() => dropDraft(d))} />
          <button type="button" class="wide" onClick={() => onTemp('none')}>No thermometer: go on without</button>
        </Step>
      )}
    </>
  );
}

function Step({ title, reach, children }: { title: string; reach: boolean; children: ComponentChildren }) {
  const here = useRef<HTMLElement>(null);
  useEffect(() => void (reach && here.current?.scrollIntoView({ block: 'nearest' })), []);
  return <section class="step" ref={here}><h3>{title}</h3>{children}</section>;
}

function Given({ what, text, change }: { what: string; text: string; change: () => void }) {
  return (
    <div class="given">
      <span>{what}</span> <b class="figure">{text}</b>
      <button type="button" onClick={change} aria-label={`Change the ${what.toLowerCase()}`}>Change</button>
    </div>
  );
}
