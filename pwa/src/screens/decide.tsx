// Taking a decision on a result: what, why, what is still open, whether original
// metal goes, and what comes of it: an order line or a page for the machinist.
import { useState } from 'preact/hooks';
import type { DecideDraft, JobView, Result } from '../core/types';
import { keep } from '../app/core';
import { go, say } from '../app/state';
import { Problem } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

interface Line { what: string; size: string; tol: string; at?: string }
interface Filled {
  choice: string; own: string; why: string; open: string; original: boolean; alternatives: string; consent: string;
  becomes: '' | 'order' | 'work'; tag: string; what: string; to: string; note: string; lines: Line[];
}

const own = 'something else';

export function DecideForm({ r, draft, job }: { r: Result; draft: DecideDraft; job: JobView }) {
  const start: Filled = { choice: '', own: '', why: '', open: '', original: false, alternatives: '', consent: '', becomes: '', tag: '', what: '', to: '', note: '', lines: draft.lines.map((l) => ({ what: l.what, size: l.size, tol: l.tol ?? '', at: l.at })) };
  const kept = `decide:${r.id}`;
  const [f, setF, fKept] = useDraft<Filled>(kept, start);
  const [problem, setProblem] = useState<string | undefined>();
  const fill = (change: Partial<Filled>) => setF({ ...f, ...change });
  const submit = async (e: Event) => {
    e.preventDefault();
    try {
      // What is to be ordered is kept first: a tag that will not do is refused before anything is decided.
      const part = f.becomes === 'order' ? await keep({ kind: 'part', body: { part: f.tag.trim(), state: 'known', what: f.what.trim() } }) : undefined;
      const { id } = await keep({ kind: draft.kind, over: draft.over, body: bodyOf(draft, f) }, part === undefined ? [kept] : []);
      if (part !== undefined) await order(f.tag.trim(), part.id, id, r, [kept]);
      fKept();
      say('Decided. It says so everywhere if what it rests on changes.');
      go(f.becomes === 'work' ? 'instruction' : 'decision', { id });
    } catch (x) {
      setProblem((x as Error).message);
    }
  };
  return (
    <form class="decide" onSubmit={(e) => void submit(e)}>
      <fieldset>
        <legend>What is decided</legend>
        {[...draft.choices, own].map((c) => <label key={c} class="choice"><input type="radio" name="choice" checked={f.choice === c} onChange={() => fill({ choice: c })} required /> {c}</label>)}
        {f.choice === own && <label>In words<input value={f.own} onInput={(e) => fill({ own: e.currentTarget.value })} required /></label>}
      </fieldset>
      <label>Why<textarea rows={2} value={f.why} onInput={(e) => fill({ why: e.currentTarget.value })} required /></label>
      <label>{draft.must_open === undefined ? 'Still open, if anything, and why it is decided all the same' : `The result is ${draft.must_open}: what is still open, and why it is decided all the same`}
        <textarea rows={2} value={f.open} onInput={(e) => fill({ open: e.currentTarget.value })} required={draft.must_open !== undefined} />
      </label>
      <label class="choice"><input type="checkbox" checked={f.original} onChange={(e) => fill({ original: e.currentTarget.checked })} /> it removes original metal</label>
      {f.original && (
        <>
          <label>What else was thought of: a sleeve, spraying, another part with the original kept<textarea rows={2} value={f.alternatives} onInput={(e) => fill({ alternatives: e.currentTarget.value })} required /></label>
          <label>Who agreed<input value={f.consent} onInput={(e) => fill({ consent: e.currentTarget.value })} placeholder="the trustees, in writing, 15 March" required /></label>
        </>
      )}
      <label>What comes of it
        <select value={f.becomes} onChange={(e) => fill({ becomes: e.currentTarget.value as Filled['becomes'] })}>
          <option value="">nothing to order or to machine</option><option value="order">something to order</option><option value="work">something to machine</option>
        </select>
      </label>
      {f.becomes === 'order' && (
        <>
          <label>Tag, or lot<input class="figure" autocapitalize="off" value={f.tag} onInput={(e) => fill({ tag: e.currentTarget.value })} required /></label>
          <label>What is wanted, with its sizes<input value={f.what} onInput={(e) => fill({ what: e.currentTarget.value })} required /></label>
        </>
      )}
      {f.becomes === 'work' && <Work f={f} fill={fill} job={job} />}
      <Problem error={problem} />
      <button type="submit" class="keep">Keep the decision, {r.asm.replace('+', ' and ')}</button>
    </form>
  );
}

function Work({ f, fill, job }: { f: Filled; fill: (c: Partial<Filled>) => void; job: JobView }) {
  const change = (i: number, c: Partial<Line>) => fill({ lines: f.lines.map((l, k) => (k === i ? { ...l, ...c } : l)) });
  return (
    <>
      <label>Who machines it<input value={f.to} list="machinists" onInput={(e) => fill({ to: e.currentTarget.value })} /></label>
      <datalist id="machinists">{job.machinists.map((m) => <option key={m} value={m} />)}</datalist>
      {f.lines.map((l, i) => (
        <fieldset key={i} class="work-line">
          <legend>{l.what === '' ? `Line ${i + 1}` : l.what}</legend>
          <label>What<input value={l.what} onInput={(e) => change(i, { what: e.currentTarget.value })} required /></label>
          <label>Finished size<input class="figure" inputMode="decimal" value={l.size} onInput={(e) => change(i, { size: e.currentTarget.value })} required /></label>
          <label>Tolerance<input class="figure" autocapitalize="off" value={l.tol} onInput={(e) => change(i, { tol: e.currentTarget.value })} placeholder="+0 −0.015" /></label>
          <button type="button" aria-label={`Leave out: ${l.what === '' ? `line ${i + 1}` : l.what}`} onClick={() => fill({ lines: f.lines.filter((_, k) => k !== i) })}>Leave out</button>
        </fieldset>
      ))}
      <button type="button" onClick={() => fill({ lines: [...f.lines, { what: '', size: '', tol: '' }] })}>One more size</button>
      <label>What else the machinist must know<textarea rows={2} value={f.note} placeholder="fillet 3.0 mm, all pins alike, crack test after" onInput={(e) => fill({ note: e.currentTarget.value })} /></label>
    </>
  );
}

function bodyOf(draft: DecideDraft, f: Filled): Record<string, unknown> {
  const chosen = { ...(draft.body['chosen'] as Record<string, unknown>), choice: f.choice === own ? f.own.trim() : f.choice };
  const body: Record<string, unknown> = { ...draft.body, chosen, why: f.why.trim() };
  if (f.open.trim() !== '') body['open'] = f.open.trim();
  if (f.original) Object.assign(body, { original: true, alternatives: f.alternatives.trim(), consent: f.consent.trim() });
  if (f.becomes !== 'work') return body;
  if (f.lines.length === 0) throw new Error('Say at least one size that is to be machined.');
  const lines = f.lines.map((l) => ({ what: l.what.trim(), size: l.size.trim(), ...(l.tol.trim() === '' ? {} : { tol: l.tol.trim() }), ...(l.at === undefined ? {} : { at: l.at }) }));
  body['work'] = { lines, ...(f.to.trim() === '' ? {} : { to: f.to.trim() }), ...(f.note.trim() === '' ? {} : { note: f.note.trim() }) };
  return body;
}

/** The order line names its decision: it goes dead when that no longer holds. */
async function order(part: string, known: string, decision: string, r: Result, finished: string[]): Promise<void> {
  const one = r.engines.length === 1 ? { asm: r.engines[0]?.asm } : {};
  await keep({ kind: 'part', body: { part, state: 'wanted', decision, ...one }, after: [known] }, finished);
}
