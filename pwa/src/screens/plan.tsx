// The plan of the job, to be changed: stages, their order, their hold points
// and what these wait for. The core says what is wrong and what would go.
import { useState } from 'preact/hooks';
import type { PlanStage, PlanView } from '../core/types';
import { keep, status, view } from '../app/core';
import { go, href, say } from '../app/state';
import { Problem, useView } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

const draft = 'plan';

export function PlanScreen() {
  const [changed, setChanged, changedKept] = useDraft<{ stages: PlanStage[] | undefined }>(draft, { stages: undefined });
  const [problem, setProblem] = useState<string | undefined>();
  const asked = changed.stages === undefined ? {} : { stages: changed.stages };
  const { value: v, error } = useView<PlanView>('plan', asked);
  if (status.value.role !== 'lead') return <p class="empty">The lead changes the plan.</p>;
  if (v === undefined) return <Problem error={error} />;
  const stages = changed.stages ?? v.stages;
  const set = (next: PlanStage[]) => setChanged({ stages: next });
  const move = (i: number, by: number) => {
    const next = [...stages];
    const [one] = next.splice(i, 1);
    if (one !== undefined) next.splice(i + by, 0, one);
    set(next);
  };
  const make = async () => {
    try {
      const now = await view<PlanView>('plan', asked); // what is drawn may be of the letter before the last
      if (now.draft === undefined) return;
      await keep(now.draft, [draft]);
      changedKept();
      say('The plan is kept on this phone.');
      go('stages');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <div class="plan">
      <h1>Change the plan</h1>
      <p>Both engines go through the same stages, each at its own speed; those of the pair are gone through together. A signature hangs on the number of its hold point: keep the number, change the words.</p>
      <ol class="stages">
        {stages.map((s, i) => (
          <li key={s.key}>
            <details>
              <summary><span class="line-title">{s.title}</span><span class="fine">{s.hold === undefined ? 'no hold point' : s.hold.key}</span></summary>
              <StageForm s={s} v={v} says={v.wants[i] ?? []} set={(next) => set(stages.map((x, k) => (k === i ? next : x)))} />
              <p class="actions">
                <button type="button" disabled={i === 0} onClick={() => move(i, -1)}>{`${s.title}: earlier`}</button>
                <button type="button" disabled={i === stages.length - 1} onClick={() => move(i, 1)}>{`${s.title}: later`}</button>
                <button type="button" onClick={() => set(stages.filter((_, k) => k !== i))}>{`Take out ${s.title}`}</button>
              </p>
            </details>
          </li>
        ))}
      </ol>
      <p class="actions"><button type="button" onClick={() => set([...stages, { key: freeKey(stages), title: 'New stage' }])}>One more stage</button></p>
      {v.wrong.map((w) => <p key={w} class="problem">{w}.</p>)}
      {v.unsigned.length > 0 && <div class="notice warn"><p>Hold points would go that are signed. The signatures stay in the record, but show nowhere in the plan:</p><ul class="plain-list">{v.unsigned.map((u) => <li key={u}>{u}</li>)}</ul></div>}
      <Problem error={problem} />
      <button type="button" class="keep" disabled={v.draft === undefined} onClick={() => void make()}>Keep the plan</button>
      <p class="actions">{changed.stages !== undefined && <button type="button" onClick={() => (setChanged(undefined), go('stages'))}>Leave it as it was</button>}<a class="button" href={href('stages')}>Stages and hold points</a></p>
    </div>
  );
}

/** Names of stages are never seen; they only have to differ. */
function freeKey(stages: PlanStage[]): string {
  let n = stages.length + 1;
  while (stages.some((s) => s.key === `stage${n}`)) n++;
  return `stage${n}`;
}

function StageForm({ s, v, says, set }: { s: PlanStage; v: PlanView; says: string[]; set: (s: PlanStage) => void }) {
  const { hold, pair, ...rest } = s;
  const text = (label: string, value: string, change: (t: string) => void) => <label>{label}<input value={value} onInput={(e) => change(e.currentTarget.value)} /></label>;
  const setHold = (change: Partial<NonNullable<PlanStage['hold']>>) => set({ ...s, hold: { key: '', title: '', wants: [], ...hold, ...change } });
  return (
    <>
      {text('Stage', s.title, (title) => set({ ...s, title }))}
      <label class="choice"><input type="checkbox" checked={pair === true} onChange={(e) => set(e.currentTarget.checked ? { ...s, pair: true } : { ...rest, ...(hold === undefined ? {} : { hold }) })} /> both engines together</label>
      <label class="choice"><input type="checkbox" checked={hold !== undefined} onChange={(e) => (e.currentTarget.checked ? setHold({}) : set({ ...rest, ...(pair === true ? { pair } : {}) }))} /> it ends in a hold point</label>
      {hold !== undefined && (
        <>
          <div class="type-form">{text('Its number', hold.key, (key) => setHold({ key }))}{text('What is looked for', hold.title, (title) => setHold({ title }))}</div>
          <p class="fine">It waits for:</p>
          <ul class="plain-list">{hold.wants.map((w, k) => <li key={`${w.what}/${w.of ?? ''}`}>{says[k] ?? w.what} <button type="button" aria-label={`Take off: ${says[k] ?? w.what}`} onClick={() => setHold({ wants: hold.wants.filter((_, n) => n !== k) })}>Take off</button></li>)}</ul>
          <AddWant v={v} add={(w) => setHold({ wants: [...hold.wants, w] })} />
        </>
      )}
    </>
  );
}

function AddWant({ v, add }: { v: PlanView; add: (w: { what: string; of?: string }) => void }) {
  const [what, setWhat] = useState('');
  const [of, setOf] = useState('');
  const choice = v.choices.find((c) => c.what === what);
  const needs = (choice?.of.length ?? 0) > 0;
  return (
    <div class="type-another">
      <label>It waits for<select value={what} onChange={(e) => (setWhat(e.currentTarget.value), setOf(''))}><option value="">choose</option>{v.choices.map((c) => <option key={c.what} value={c.what}>{c.words}</option>)}</select></label>
      {needs && <label>of<select value={of} onChange={(e) => setOf(e.currentTarget.value)}><option value="">choose</option>{choice?.of.map((o) => <option key={o.key} value={o.key}>{o.words}</option>)}</select></label>}
      <button type="button" disabled={what === '' || (needs && of === '')} onClick={() => (add(needs ? { what, of } : { what }), setWhat(''), setOf(''))}>Add it</button>
    </div>
  );
}
