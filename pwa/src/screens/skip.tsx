// Passing a point by: with a reason it counts as answered, and can be taken back.
import { useState } from 'preact/hooks';
import type { PointView } from '../core/types';
import { keep } from '../app/core';
import { go, href, say } from '../app/state';
import { Problem, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

const reasons = ["can't reach it", 'not fitted', 'damaged, no size to take', 'not needed here'];

export function Skip({ v, asm, at }: { v: PointView; asm: string; at: string }) {
  const draft = `skip:${asm}/${at}/${v.of.point ?? ''}/${v.cond}`;
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [problem, setProblem] = useState<string | undefined>();
  const skip = async (reason: string) => {
    try {
      await keep({ kind: 'check', body: { of: v.of, cond: v.cond, answer: 'skipped', why: reason } }, [draft]);
      whyKept();
      say('Skipped. It can be measured any time.');
      if (v.next !== undefined && v.next.at !== at) go('point', { asm: v.next.asm, at: v.next.at, point: v.next.point, cond: v.cond });
      else if (v.next !== undefined) go('point', { asm, at, point: v.next.point, cond: v.cond });
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <>
      {v.skips.map((s) => (
        <p key={s.id} class="notice"><a href={href('entry', { id: s.id })}>Skipped: {s.why}</a> <span class="who">{s.by}, {when(s.at)}</span></p>
      ))}
      {v.own.every((x) => x.state === 'struck') && v.skips.length === 0 && (
        <details>
          <summary>Skip this point</summary>
          <p class="actions">{reasons.map((r) => <button key={r} type="button" onClick={() => void skip(r)}>{r}</button>)}</p>
          <label>Another reason<input value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></label>
          <Problem error={problem} />
          <button type="button" disabled={why.trim() === ''} onClick={() => void skip(why.trim())}>Skip it</button>
        </details>
      )}
    </>
  );
}
