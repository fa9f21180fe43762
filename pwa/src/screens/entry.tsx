// One entry with its story, and what can be done about it.
import { useState } from 'preact/hooks';
import type { EntryView } from '../core/types';
import { keep } from '../app/core';
import { go, href, say } from '../app/state';
import { Of, Problem, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

export function EntryScreen({ id }: { id: string }) {
  const { value: v, error } = useView<EntryView>('entry', { id });
  const draft = `entry:${id}`;
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [problem, setProblem] = useState<string | undefined>();
  if (v === undefined) return <Problem error={error} />;
  const act = async (kind: 'withdraw' | 'restore', over: string[]) => {
    if (kind === 'withdraw' && why.trim() === '') return setProblem('Say why it is taken back; it stays in the record, struck through.');
    try {
      await keep({ kind, body: why.trim() === '' ? {} : { why: why.trim() }, over }, [draft]);
      whyKept();
      say(kind === 'withdraw' ? 'Taken back.' : 'Brought back.');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  const back = v.open;
  return (
    <article>
      {v.engine !== undefined && <Of engines={[v.engine]} />}
      <h1>{v.words}</h1>
      <p class="point-words">{v.kind}, {v.by}, {when(v.at)}: <b>{v.state === 'struck' ? `struck: ${v.why}` : v.state}</b></p>
      <dl>{v.lines.map((l) => <div key={l.name}><dt>{l.name}</dt><dd>{l.text}</dd></div>)}</dl>
      {v.covered_by.map((c) => <p key={c.id}>In its place: {c.words}</p>)}
      {v.actions.length > 0 && (
        <>
          <label>Why<textarea rows={2} name="why" value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></label>
          <Problem error={problem} />
          <p class="actions">
            {v.actions.includes('correct') && back !== undefined && (
              <a class="button" href={href('point', { asm: back.asm, at: back.at, point: back.point, cond: back.cond, over: v.id, why })}>Correct it</a>
            )}
            {v.actions.includes('withdraw') && <button type="button" onClick={() => void act('withdraw', [v.id])}>Take it back</button>}
            {v.actions.includes('restore') && <button type="button" onClick={() => void act('restore', v.covered_by.map((c) => c.id))}>Bring it back</button>}
          </p>
        </>
      )}
      {v.kind === 'photo' && <a class="button" href={href('photo', { id: v.id })}>Open the photo</a>}
      {back !== undefined && <button type="button" onClick={() => go('point', { asm: back.asm, at: back.at, point: back.point, cond: back.cond })}>To the place</button>}
    </article>
  );
}
