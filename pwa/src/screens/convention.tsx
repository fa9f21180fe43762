// How it is numbered: signed once, put right by another signature over it; and
// the shops outside that count otherwise.
import { useState } from 'preact/hooks';
import type { JobView, MachinistView, Shop } from '../core/types';
import { keep, view } from '../app/core';
import { say } from '../app/state';
import { Problem, useView } from '../widgets/basics';
import { Form, need } from '../widgets/form';

export function Convention({ job }: { job: JobView }) {
  const n = job.numbering;
  const { id, shops, machinists, counts, ...start } = n ?? { id: undefined, shops: [], machinists: [], counts: [] };
  return (
    <>
      <p>Agree on it at the vehicle, aloud, before the first nut. Published rules differ, so the tool assumes none.</p>
      {n !== undefined && job.readings > 0 && <p class="caution"><b>Caution</b> {job.readings} readings were taken by this numbering. They keep the numbers they were taken under: change words here, never what number 1 means.</p>}
      <Form key={id} start={start} draft={`numbering:${id ?? ''}`} button={n === undefined ? 'Sign the convention' : 'Sign it as changed'} fields={[
        { ...need('name', 'Called', 'NC-1'), about: 'called' }, need('end1', 'Number 1 is at the', 'timing end'), need('end2', 'The other end is the', 'flywheel end'),
        need('facing', 'Left and right are seen', 'standing in the car, facing the end painted 1'), need('left', 'Left is', 'position A'), need('right', 'Right is', 'position B'),
      ]} make={async (v, ended) => void (await keep({ kind: 'numbering', body: { ...v, ...(machinists.length === 0 ? {} : { machinists }), ...(counts.length === 0 ? {} : { counts }) }, ...(id === undefined ? {} : { over: [id] }) }, ended))} />
      {n !== undefined && <Shops list={shops} />}
    </>
  );
}

/** Whoever grinds the crank may count from the flange: his sheet then has both numbers. */
function Shops({ list }: { list: Shop[] }) {
  const [problem, setProblem] = useState<string | undefined>();
  const off = (name: string, of: string) => void keepCount({ name, of, off: true }).then(() => say(`${name}: taken off the convention.`), (e: Error) => setProblem(e.message));
  return (
    <>
      <h3>Shops that count otherwise</h3>
      {list.length === 0 && <p class="empty">None. A grinder often counts from the flange: ask, and put it in before the crank goes.</p>}
      <ul class="plain-list">{list.map((m) => (
        <li key={m.name}>
          <b>{m.name}</b>: {m.says} <button type="button" onClick={() => off(m.name, '')}>{`Take ${m.name} off`}</button>
          {m.counts.length > 1 && m.counts.map((c) => <button key={c.of} type="button" onClick={() => off(m.name, c.of)}>{`Take off only: ${c.says}`}</button>)}
        </li>
      ))}</ul>
      <Problem error={problem} />
      <HisNumbers names={list.map((m) => m.name)} />
    </>
  );
}

async function keepCount(args: object): Promise<void> {
  const got = await view<MachinistView>('machinist', args);
  if (got.draft === undefined) throw new Error(got.error);
  await keep(got.draft);
}

const nothing = { name: '', of: 'pin', way: 'from', first: '', list: '' };

/** His numbers of one group; ours stand beside his while they are typed, so that a slip is seen before it is kept. */
function HisNumbers({ names }: { names: string[] }) {
  const [f, setF] = useState(nothing);
  const [refused, setRefused] = useState<{ of: typeof nothing; why: string } | undefined>();
  const { value: v } = useView<MachinistView>('machinist', f);
  const fill = (more: Partial<typeof nothing>) => setF({ ...f, ...more });
  const g = v?.groups.find((x) => x.key === f.of);
  const typed = f.way === 'from' ? f.first !== '' : f.list !== '';
  const make = (e: Event) => {
    e.preventDefault();
    // Somebody may have typed on meanwhile: what comes of this keep is about what was kept, and touches nothing newer.
    keepCount(f).then(() => (setF((now) => (now === f ? { ...nothing, name: f.name } : now)), say('Saved on this phone.')), (x: Error) => setRefused({ of: f, why: x.message }));
  };
  const short = g?.short ?? 'pin';
  return (
    <form onSubmit={make} noValidate>
      <label>Whose numbers<input value={f.name} placeholder="Mr Lunt" list="shops" onInput={(e) => fill({ name: e.currentTarget.value })} /></label>
      <datalist id="shops">{names.map((n) => <option key={n} value={n} />)}</datalist>
      <label>What he counts otherwise
        <select value={f.of} onChange={(e) => fill({ of: e.currentTarget.value, first: '', list: '' })}>{(v?.groups ?? []).map((x) => <option key={x.key} value={x.key}>{`${x.word}, ours ${x.each[0] ?? ''} to ${x.each.at(-1) ?? ''}`}</option>)}</select>
      </label>
      <label>How he counts
        <select value={f.way} onChange={(e) => fill({ way: e.currentTarget.value })}><option value="from">from the other end</option><option value="list">in his own way, as listed</option></select>
      </label>
      {f.way === 'from'
        ? <label>{`His ${short} 1 is our ${short}`}<input value={f.first} inputMode="numeric" placeholder={String(g?.each.length ?? '')} onInput={(e) => fill({ first: e.currentTarget.value })} /></label>
        : <label>{`His for each of ours, in the order of ours, with spaces`}<input value={f.list} autocapitalize="characters" placeholder={g?.each.map((_, i) => String.fromCharCode(65 + (i % 26))).join(' ')} onInput={(e) => fill({ list: e.currentTarget.value })} /></label>}
      {typed && v?.rows !== undefined && <Beside rows={v.rows} word={g?.word ?? ''} name={f.name} />}
      <Problem error={refused?.of === f ? refused.why : typed ? v?.error : undefined} />
      <button type="submit">Keep his numbers</button>
    </form>
  );
}

function Beside({ rows, word, name }: { rows: { ours: string; his: string }[]; word: string; name: string }) {
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label="Ours beside his">
      <table class="moved" data-testid="counted">
        <thead><tr><th scope="col">Our {word}</th><th scope="col">{name.trim() === '' ? 'His' : `${name.trim()}’s`}</th></tr></thead>
        <tbody>{rows.map((r) => <tr key={r.ours}><th scope="row" class="figure">{r.ours}</th><td class="figure">{r.his === '' ? 'none yet' : r.his}</td></tr>)}</tbody>
      </table>
    </div>
  );
}
