// A contest: what stands against each other, and the ruling that ends it. The
// ruling is an entry over all of them; nothing is thrown away.
import { useState } from 'preact/hooks';
import type { ContestView } from '../core/types';
import { keep } from '../app/core';
import { go, href, say } from '../app/state';
import { EngineName, Of, Problem, Section, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

export function ContestScreen({ id }: { id: string }) {
  const { value: v, error } = useView<ContestView>('contest', { id });
  const draft = `contest:${id}`;
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [problem, setProblem] = useState<string | undefined>();
  if (v === undefined) {
    return error === undefined ? null : <><h1>Settled</h1><p>This question has been settled.</p><a class="button" href={href('today')}>Back to Today</a></>;
  }
  const rule = async (entry: { kind: string; body: Record<string, unknown>; over: string[]; after?: string[] }) => {
    if (why.trim() === '') return setProblem('Say why: whoever reads this in ten years was not here.');
    try {
      await keep({ ...entry, body: { ...entry.body, why: why.trim() } }, [draft]);
      whyKept();
      say('Settled.');
      go('today');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <>
      <h1>Not settled</h1>
      {v.which === true ? v.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>) : <Of engines={v.engines} />}
      <p class="point-words">{v.words}</p>
      <p class="says">{v.says}</p>
      <label>Why it is so<textarea rows={2} name="why" value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></label>
      <Problem error={problem} />
      <Section title="Settle it by">
        <ul class="choices">
          {v.members.map((m) => (
            <li key={m.id}>
              <p><b class="figure">{m.text}</b> <span class="who">{m.by}, {when(m.at)}</span></p>
              {m.ruling !== undefined && <button type="button" class="wide" onClick={() => m.ruling !== undefined && void rule(m.ruling)}>{m.text} is right</button>}
            </li>
          ))}
          {v.nothing !== undefined && (
            <li><button type="button" class="wide" onClick={() => v.nothing !== undefined && void rule({ ...v.nothing, body: {} })}>None of them: take all back and {v.which === true ? 'look' : 'measure'} again</button></li>
          )}
        </ul>
      </Section>
      {v.places.map((p) => p.at !== undefined && <a key={p.words} class="button" href={href('point', { asm: p.asm, at: p.at, point: p.point })}>Open {p.words}</a>)}
    </>
  );
}
