// How it is numbered: signed once, put right by another signature over it; and
// the shops outside that count otherwise.
import { useState } from 'preact/hooks';
import type { JobView, MachinistView } from '../core/types';
import { keep, view } from '../app/core';
import { say } from '../app/state';
import { Problem } from '../widgets/basics';
import { Form, need } from '../widgets/form';

export function Convention({ job }: { job: JobView }) {
  const n = job.numbering;
  const { id, machinists, ...start } = n ?? { id: undefined, machinists: [] };
  return (
    <>
      <p>Agree on it at the vehicle, aloud, before the first nut. Published rules differ, so the tool assumes none.</p>
      {n !== undefined && job.readings > 0 && <p class="caution"><b>Caution</b> {job.readings} readings were taken by this numbering. They keep the numbers they were taken under: change words here, never what number 1 means.</p>}
      <Form key={id} start={start} button={n === undefined ? 'Sign the convention' : 'Sign it as changed'} fields={[
        need('name', 'Called', 'NC-1'), need('end1', 'Number 1 is at the', 'timing end'), need('end2', 'The other end is the', 'flywheel end'),
        need('facing', 'Left and right are seen', 'standing in the car, facing the end painted 1'), need('left', 'Left is', 'position A'), need('right', 'Right is', 'position B'),
      ]} make={async (v) => void (await keep({ kind: 'numbering', body: { ...v, ...(machinists.length === 0 ? {} : { machinists: machinists.map(({ name, pins }) => ({ name, pins })) }) }, ...(id === undefined ? {} : { over: [id] }) }))} />
      {n !== undefined && <Machinists list={machinists} />}
    </>
  );
}

/** Whoever grinds the crank may count from the flange: his sheet then has both numbers. */
function Machinists({ list }: { list: NonNullable<JobView['numbering']>['machinists'] }) {
  const [problem, setProblem] = useState<string | undefined>();
  const change = async (args: object) => {
    const got = await view<MachinistView>('machinist', args);
    if (got.draft === undefined) throw new Error(got.error);
    await keep(got.draft);
  };
  const off = (name: string) => void change({ name, off: true }).then(() => say(`${name} is off the convention.`), (e: Error) => setProblem(e.message));
  return (
    <>
      <h3>Shops that count otherwise</h3>
      {list.length === 0 && <p class="empty">None. A grinder often counts from the flange: ask, and put it in before the crank goes.</p>}
      <ul class="plain-list">{list.map((m) => <li key={m.name}><b>{m.name}</b>: {m.says} <button type="button" onClick={() => off(m.name)}>{`Take ${m.name} off`}</button></li>)}</ul>
      <Problem error={problem} />
      <Form fields={[need('name', 'Whose numbers', 'Mr Lunt'), need('first', 'His pin 1 is our pin', '6')]} button="Keep his numbers" make={change} />
    </>
  );
}
