// Tightening: the map shows the next fastener of the pass; one tap records it,
// or the whole pass as reported. What is wrong with a pass is said at once.
import { useState } from 'preact/hooks';
import type { TightenLine, TightenView } from '../core/types';
import { keep } from '../app/core';
import { go, href, route, say, today } from '../app/state';
import { Caution, Drawing, EngineName, Problem, Section, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { PictureOut } from '../widgets/pictureout';

const caution = 'Do not lean over a stud; a long bar slips. Oiled and dry threads carry very different loads at one torque: the maker\'s manual says which is meant.';

type Pass = TightenView['passes'][number];

/** What is chosen for a joint holds for the day: on another one wrench, threads and stud are looked at again. */
const sitting = () => ({ pass: 0, tool: '', thread: '', day: today() });
const nut = () => ({ picked: '', moved: '', day: today() });
const orAfresh = <T extends { day: string }>(fresh: () => T) => (old: T) => (old.day === today() ? old : fresh());

export function TightenScreen({ asm }: { asm: string }) {
  const r = route.value;
  const joint = r['joint'] ?? 'head';
  const where = `${asm}/${joint}/${r['cond'] ?? ''}`;
  const [chosen, setChosen] = useDraft(`tighten:${where}`, sitting(), orAfresh(sitting));
  const turning = `turning:${where}`;
  const [turned, setTurned, turnedKept] = useDraft(turning, nut(), orAfresh(nut));
  const { pass, tool, thread } = chosen;
  const { picked, moved } = turned;
  const { value: v, error } = useView<TightenView>('tighten', { asm, joint, cond: r['cond'] ?? '', pass });
  const [problem, setProblem] = useState<string | undefined>();
  if (v === undefined) return <Problem error={error} />;
  const now = v.passes.find((p) => p.n === v.pass);
  const again = v.pass > v.passes.length; // after the first heat: one pass more, at the last torque
  const torque = now?.torque ?? v.passes.at(-1)?.torque;
  const next = picked === '' ? v.next : picked;
  const why = v.tools.find((t) => t.key === tool)?.why;
  const record = async (what: { fasteners?: string[]; whole?: true }, words: string) => {
    if (tool === '') return setProblem('Choose the torque tool first.');
    const far = moved === '' ? {} : { moved: { t: moved, u: 'deg' } };
    try {
      await keep({ kind: 'tighten', body: { of: v.of, cond: v.cond, pass: v.pass, torque, thread: thread === '' ? v.thread : thread, tool, ...far, ...what } }, [turning]);
      turnedKept();
      setProblem(undefined);
      say(`${words} saved on this phone.`);
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <>
      <h1>Tighten: {v.words}</h1>
      <p><EngineName e={v.engine} /></p>
      <div class="sitting">
        <label>condition<select value={v.cond} onChange={(e) => go('tighten', { asm, joint, cond: e.currentTarget.value })}>{v.conds.map((c) => <option key={c.cond} value={c.cond}>{c.words}</option>)}</select></label>
        <label>pass<select value={String(v.pass)} onChange={(e) => setChosen({ ...chosen, pass: Number(e.currentTarget.value) })}>
          {v.passes.map((p) => <option key={p.n} value={String(p.n)}>{p.n}: {p.torque_text}</option>)}
          {v.after_heat !== undefined && <option value={String(v.passes.length + 1)}>after the first heat</option>}
        </select></label>
        <label>tool<select value={tool} onChange={(e) => setChosen({ ...chosen, tool: e.currentTarget.value })}><option value="">choose</option>{v.tools.map((t) => <option key={t.key} value={t.key}>{t.key}, {t.what}</option>)}</select></label>
        <label>thread<select value={thread === '' ? v.thread : thread} onChange={(e) => setChosen({ ...chosen, thread: e.currentTarget.value })}>{[...new Set([v.thread, 'oiled', 'dry', 'compound'])].map((t) => <option key={t} value={t}>{t}</option>)}</select></label>
        {again && <label>nut moved, degrees<input class="figure" inputMode="decimal" value={moved} onInput={(e) => setTurned({ ...turned, moved: e.currentTarget.value.replace(/[^0-9.,]/g, '') })} /></label>}
      </div>
      {why !== undefined && <p class="notice warn" role="alert">{why} Take another tool for this pass.</p>}
      <ul class="passes">{v.passes.map((p) => <PassLine key={p.n} p={p} />)}</ul>
      {v.after_heat !== undefined && <p class="notice">{v.after_heat}</p>}
      <Problem error={problem} />
      {next !== undefined && next !== '' && torque !== undefined && (
        <button type="button" class="keep" onClick={() => void record({ fasteners: [next] }, `Stud ${next}`)}>Stud {next} done at {(now ?? v.passes.at(-1))?.torque_text}{again ? ', after the heat' : ''}, {v.engine.name} ({asm})</button>
      )}
      {next !== undefined && <button type="button" class="wide" onClick={() => void record({ whole: true }, `Pass ${v.pass}`)}>{again ? 'All tightened again in order' : `Whole pass ${v.pass} done in order`}</button>}
      {next === undefined && <p class="notice">Every pass shown is complete.</p>}
      <Drawing svg={v.svg} attribute="data-fastener" onPick={(stud) => setTurned({ ...turned, picked: stud })} label={`${v.words} of ${asm}, pass ${v.pass}`} />
      <PictureOut svg={v.svg} of={`${v.words} of ${asm}`} file={`joint-${asm}-${joint}`} caption={`${v.words} of ${asm} ${v.engine.name}, ${v.engine.where}: passes done`} />
      <Recorded passes={v.passes} />
      <Caution texts={[caution]} />
    </>
  );
}

function PassLine({ p }: { p: Pass }) {
  const state = p.whole ? 'reported whole' : p.left === 0 ? 'complete' : p.done.length === 0 ? 'not begun' : `${p.left} missed or to come: ${p.missing.join(' ')}`;
  return (
    <li class={p.left === 0 ? 'done' : ''}>
      pass {p.n}, <span class="figure">{p.torque_text}</span>: <b>{state}</b>
      {p.remarks.map((r) => <p key={r} class="problem">{r}</p>)}
      {p.lines.filter((l) => l.contest !== undefined).map((l) => (
        <p key={l.id} class="contested"><a class="button" href={href('contest', { id: l.contest })}><span class="word">Not settled: {l.words}</span></a></p>
      ))}
    </li>
  );
}

/** Every entry of the joint; one tap leads to its story, to take it back. */
function Recorded({ passes }: { passes: Pass[] }) {
  const lines: [number, TightenLine][] = passes.flatMap((p) => p.lines.map((l): [number, TightenLine] => [p.n, l]));
  if (lines.length === 0) return null;
  return (
    <Section title="What was recorded">
      <ul class="readings">
        {lines.map(([n, l]) => (
          <li key={l.id}><a class="reading" href={href('entry', { id: l.id })}>
            <span class="figure value">{n}</span><span>{l.words}</span><span class="word">{[l.by, when(l.at), l.note].filter((t) => t !== undefined && t !== '').join(', ')}</span>
          </a></li>
        ))}
      </ul>
    </Section>
  );
}
