// Which gasket: the window over both engines as a chart, and the decision.
import { useState } from 'preact/hooks';
import type { GasketView } from '../core/types';
import { keep, status } from '../app/core';
import { go, say } from '../app/state';
import { Drawing, Problem, useView } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { PictureOut } from '../widgets/pictureout';
import { ResultBody } from './results';

export function GasketScreen({ id }: { id: string }) {
  const { value: v, error } = useView<GasketView>('gasket', { id });
  const draft = `gasket:${id}`;
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [problem, setProblem] = useState<string | undefined>();
  if (v === undefined) return <Problem error={error} />;
  if (!v.found || v.result === undefined) return <><h1>Which gasket</h1><p class="empty">No gasket has been measured under torque yet.</p></>;
  const decide = async (e: Event) => {
    e.preventDefault();
    if (v.draft === undefined) return;
    try {
      await keep({ ...v.draft, body: { ...v.draft.body, why: why.trim() } }, [draft]);
      whyKept();
      say('Decided. It says so everywhere if a verdict under it changes.');
    } catch (x) {
      setProblem((x as Error).message);
    }
  };
  return (
    <>
      <h1>Which gasket</h1>
      <label>Measured on<select value={v.result.id} onChange={(e) => go('gasket', { id: e.currentTarget.value })}>{v.trials.map((t) => <option key={t.id} value={t.id}>{t.words}</option>)}</select></label>
      {v.svg !== undefined && <><Drawing svg={v.svg} label={v.result.says} /><PictureOut svg={v.svg} of="the window" file={`chart-${v.result.id}`} caption={`Head gasket of both engines: ${v.result.says}`} /></>}
      {v.from !== undefined && (
        <p class="says">window <b class="figure">{v.from}</b> to <b class="figure">{v.to}</b> mm, best <b class="figure">{v.best}</b> mm{v.order !== undefined && <>, order <b class="figure">{v.order}</b> mm free</>}</p>
      )}
      {v.decided !== undefined && <p class="notice">Decided: {v.decided}</p>}
      {status.value.role === 'lead' && v.draft !== undefined && (
        <form onSubmit={(e) => void decide(e)}>
          <label>Why<textarea rows={2} value={why} onInput={(e) => setWhy(e.currentTarget.value)} required /></label>
          <Problem error={problem} />
          <button type="submit" class="keep">Decide: {v.best} mm compressed, both engines</button>
        </form>
      )}
      <ResultBody r={v.result} />
    </>
  );
}
