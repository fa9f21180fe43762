// Tightening: the map shows the next fastener of the pass; one tap records it,
// or the whole pass as reported.
import { useState } from 'preact/hooks';
import type { TightenView } from '../core/types';
import { keep } from '../app/core';
import { go, route, say } from '../app/state';
import { Caution, Drawing, EngineName, Problem, useView } from '../widgets/basics';

const caution = 'Do not lean over a stud; a long bar slips. Oiled and dry threads carry very different loads at one torque: the maker\'s manual says which is meant.';

export function TightenScreen({ asm }: { asm: string }) {
  const r = route.value;
  const joint = r['joint'] ?? 'head';
  const [pass, setPass] = useState(0);
  const { value: v, error } = useView<TightenView>('tighten', { asm, joint, cond: r['cond'] ?? '', pass });
  const [tool, setTool] = useState('');
  const [thread, setThread] = useState('');
  const [problem, setProblem] = useState<string | undefined>();
  const [picked, setPicked] = useState('');
  if (v === undefined) return <Problem error={error} />;
  const now = v.passes.find((p) => p.n === v.pass);
  const next = picked === '' ? v.next : picked;
  const record = async (what: { fasteners?: string[]; whole?: true }, words: string) => {
    if (tool === '') return setProblem('Choose the torque tool first.');
    try {
      await keep({ kind: 'tighten', body: { of: v.of, cond: v.cond, pass: v.pass, torque: now?.torque, thread: thread === '' ? v.thread : thread, tool, ...what } });
      setPicked('');
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
        <label>pass<select value={String(v.pass)} onChange={(e) => setPass(Number(e.currentTarget.value))}>{v.passes.map((p) => <option key={p.n} value={String(p.n)}>{p.n}: {p.torque_text}</option>)}</select></label>
        <label>tool<select value={tool} onChange={(e) => setTool(e.currentTarget.value)}><option value="">choose</option>{v.tools.map((t) => <option key={t.key} value={t.key}>{t.key}, {t.what}</option>)}</select></label>
        <label>thread<select value={thread === '' ? v.thread : thread} onChange={(e) => setThread(e.currentTarget.value)}>{[...new Set([v.thread, 'oiled', 'dry', 'compound'])].map((t) => <option key={t} value={t}>{t}</option>)}</select></label>
      </div>
      <ul class="passes">
        {v.passes.map((p) => (
          <li key={p.n} class={p.left === 0 ? 'done' : ''}>
            pass {p.n}, <span class="figure">{p.torque_text}</span>: <b>{p.whole ? 'reported whole' : p.left === 0 ? 'complete' : p.done.length === 0 ? 'not begun' : `${p.left} missed or to come: ${p.missing.join(' ')}`}</b>
          </li>
        ))}
      </ul>
      <Problem error={problem} />
      {next !== undefined && next !== '' && now !== undefined && (
        <button type="button" class="keep" onClick={() => void record({ fasteners: [next] }, `Stud ${next}`)}>{next} done at {now.torque_text}, {v.engine.name} ({asm})</button>
      )}
      {next !== undefined && <button type="button" class="wide" onClick={() => void record({ whole: true }, `Pass ${v.pass}`)}>Whole pass {v.pass} done in order</button>}
      {next === undefined && <p class="notice">Every pass shown is complete.</p>}
      <Drawing svg={v.svg} attribute="data-fastener" onPick={setPicked} label={`${v.words} of ${asm}, pass ${v.pass}`} />
      <Caution texts={[caution]} />
    </>
  );
}
