// The run card: read aloud, answered line by line, before anybody says 'start'.
import { useState } from 'preact/hooks';
import type { Of, RunHold, RunsView } from '../core/types';
import { keep } from '../app/core';
import { armSound, clock } from '../app/holding';
import { go, say } from '../app/state';
import { Caution, Problem, Section } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { RunLimits } from './runlimits';

interface Form {
  title: string; own: string; with: string; stand: string; fluids: string; not: string; most: string; hold: string;
  posts: Record<string, string>; answers: Record<string, string>; no: Record<string, string>;
}

const kinds = ['first start', 'stations', 'after repair'];
const pairKind = 'pair, uncoupled';
const other = 'something else';
const figure = (t: string) => t.replace(',', '.').replace(/[^0-9.]/g, '');

/** Fewer than this on their posts, and nobody starts (common practice). */
const least = 4;

/** Where a run card half filled in lies. */
const cardOf = (asm: string) => `run:${asm}`;

function useForm(v: RunsView, asm: string): [Form, (change: Partial<Form>) => void] {
  const start: Form = { title: '', own: '', with: '', stand: '', fluids: '', not: '', most: '', hold: v.card.holds[0]?.key ?? '', posts: {}, answers: {}, no: {} };
  const [form, setForm] = useDraft<Form>(cardOf(asm), start);
  return [form, (change) => setForm({ ...form, ...change })];
}

export function RunCard({ v, asm }: { v: RunsView; asm: string }) {
  const [form, fill] = useForm(v, asm);
  const [problem, setProblem] = useState<string | undefined>();
  const [busy, setBusy] = useState(false);
  const title = form.title === other ? form.own.trim() : form.title;
  const pair = form.title === pairKind ? (v.card.with.find((w) => w.engine.asm === form.with) ?? v.card.with[0]) : undefined;
  const open = v.card.checks.filter((c) => (form.answers[c.key] ?? '') === '' || (form.answers[c.key] === 'no' && (form.no[c.key] ?? '').trim() === ''));
  const manned = v.card.posts.filter((p) => (form.posts[p] ?? '') !== '');
  const people = new Set(manned.map((p) => form.posts[p]));
  const release = released(form.hold, [v.card.holds, ...(pair === undefined ? [] : [pair.holds])]);
  const begin = async () => {
    if (title === '') return setProblem('Say what kind of run it is.');
    if (open.length > 0) return setProblem(`Not answered yet: ${open[0]?.words}.`);
    const at = clock.look();
    armSound();
    setBusy(true);
    try {
      const { id } = await keep({ kind: 'run', body: bodyOf(v, form, title, pair?.of, release), after: v.after }, [cardOf(asm)]);
      clock.begin(id, at);
      say('The run is begun, and saved on this phone.');
      go('run', { asm, id });
    } catch (e) {
      setProblem(`Not begun: ${(e as Error).message}`);
      setBusy(false);
    }
  };
  const engines = [v.engine, ...(pair === undefined ? [] : [pair.engine])].map((e) => `${e.name} (${e.asm})`).join(' and ');
  return (
    <Section title="The run card">
      <Caution texts={v.card.cautions} />
      <label>What kind of run
        <select value={form.title} onChange={(e) => fill({ title: e.currentTarget.value })}>
          <option value="">choose</option>
          {[...kinds, ...(v.card.with.length > 0 ? [pairKind] : []), other].map((k) => <option key={k} value={k}>{k}</option>)}
        </select>
      </label>
      {form.title === other && <label>In words<input value={form.own} onInput={(e) => fill({ own: e.currentTarget.value })} /></label>}
      {pair !== undefined && <p>With <b>{pair.engine.name} ({pair.engine.asm})</b>, clutches out or shafts off. Each has passed alone before.</p>}
      <label>Stand<input value={form.stand} onInput={(e) => fill({ stand: e.currentTarget.value })} /></label>
      <label>Fluids: oil, water, fuel, how much<input value={form.fluids} onInput={(e) => fill({ fluids: e.currentTarget.value })} /></label>
      <label>Not fitted, as fan, charger; a comma between<input value={form.not} onInput={(e) => fill({ not: e.currentTarget.value })} /></label>
      <label>May run at most, minutes{form.not.trim() === '' ? '' : ' (with parts missing it must have a time)'}<input class="figure" inputMode="decimal" value={form.most} onInput={(e) => fill({ most: figure(e.currentTarget.value) })} /></label>
      <Release v={v} form={form} fill={fill} release={release} pair={pair !== undefined} />
      <h3>Who stands where</h3>
      {v.card.posts.map((p) => (
        <label key={p}>{p}
          <select value={form.posts[p] ?? ''} onChange={(e) => fill({ posts: { ...form.posts, [p]: e.currentTarget.value } })}>
            <option value="">nobody yet</option>
            {v.card.people.map((x) => <option key={x.key} value={x.key}>{x.name}</option>)}
          </select>
        </label>
      ))}
      {people.size < least && <p class="notice warn">{people.size} of {least} people have a post. Fewer than four: no run. Nobody holds two posts.</p>}
      <p><b>Anybody may stop it.</b> Whoever shouts stop is obeyed; questions come after.</p>
      <RunLimits limits={v.card.limits} type={v.card.type} />
      <h3>Read aloud, answered aloud</h3>
      <ul class="checks">{v.card.checks.map((c) => <Check key={c.key} words={c.words} answer={form.answers[c.key] ?? ''} why={form.no[c.key] ?? ''}
        set={(a) => fill({ answers: { ...form.answers, [c.key]: a } })} say={(t) => fill({ no: { ...form.no, [c.key]: t } })} />)}</ul>
      {open.length > 0 && <p class="fine">{open.length} of {v.card.checks.length} are not answered.</p>}
      <p class="knows">{v.card.knows}</p>
      <Problem error={problem} />
      <button type="button" class="keep" disabled={busy} data-testid="begin-run" onClick={() => void begin()}>Begin the run: {title === '' ? 'what kind?' : title}, {engines}</button>
      <p class="fine">This starts the clock and the log. The engine is started by hand.</p>
    </Section>
  );
}

/** The signatures under that hold point, one for each engine; none when one engine has none. */
function released(hold: string, of: RunHold[][]): string[] {
  const signs = of.map((holds) => holds.find((h) => h.key === hold)?.sign);
  return signs.every((s) => s !== undefined) ? [...new Set(signs)] : [];
}

function Release({ v, form, fill, release, pair }: { v: RunsView; form: Form; fill: (c: Partial<Form>) => void; release: string[]; pair: boolean }) {
  const h = v.card.holds.find((x) => x.key === form.hold);
  return (
    <>
      <label>The hold point that lets it run
        <select value={form.hold} onChange={(e) => fill({ hold: e.currentTarget.value })}>
          <option value="">none</option>
          {v.card.holds.map((x) => <option key={x.key} value={x.key}>{x.key}, {x.title}</option>)}
        </select>
      </label>
      {release.length > 0 && h !== undefined
        ? <p class="fine">{h.key}, {h.word} by {h.by}{h.why === undefined ? '' : `: ${h.why}`}</p>
        : <p class="notice warn" data-testid="no-release"><b>Without release.</b> No hold point signed for {pair ? 'both engines' : 'this engine'} lets it run. It is not refused; it is marked so, and the lead sees it.</p>}
    </>
  );
}

function Check({ words, answer, why, set, say: tell }: { words: string; answer: string; why: string; set: (a: string) => void; say: (t: string) => void }) {
  return (
    <li>
      <span id={words}>{words}</span>
      <span class="answers" role="group" aria-label={words}>
        <button type="button" aria-pressed={answer === 'yes'} onClick={() => set('yes')}>Yes, seen</button>
        <button type="button" aria-pressed={answer === 'no'} onClick={() => set('no')}>No</button>
      </span>
      {answer === 'no' && <label>Why it is run all the same<input value={why} onInput={(e) => tell(e.currentTarget.value)} /></label>}
    </li>
  );
}

function bodyOf(v: RunsView, f: Form, title: string, pair: Of | undefined, release: string[]): Record<string, unknown> {
  const posts = v.card.posts.flatMap((post) => ((f.posts[post] ?? '') === '' ? [] : [{ post, who: f.posts[post] }]));
  const checks = v.card.checks.map((c) => ({ check: c.key, answer: f.answers[c.key] === 'no' ? `no: ${(f.no[c.key] ?? '').trim()}` : 'yes, seen' }));
  const not = f.not.split(',').map((t) => t.trim()).filter((t) => t !== '');
  return {
    of: v.card.of, does: 'start', title, checks, ...(pair === undefined ? {} : { with: pair }), ...(posts.length === 0 ? {} : { posts }),
    ...(f.stand.trim() === '' ? {} : { stand: f.stand.trim() }), ...(f.fluids.trim() === '' ? {} : { fluids: f.fluids.trim() }),
    ...(not.length === 0 ? {} : { not_fitted: not }), ...(f.most === '' ? {} : { most: { t: f.most, u: 'min' } }),
    ...(release.length === 0 ? {} : { hold: f.hold, release }), ...(v.card.before.length === 0 ? {} : { before: v.card.before }),
  };
}

