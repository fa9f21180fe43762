// Set-up, by the lead: the convention, people, engine types, engines,
// instruments and limits. Each form writes one entry; what is there already is
// under Job.
import type { ComponentChildren } from 'preact';
import type { JobView, TypesView } from '../core/types';
import { keep, setPerson, status, view } from '../app/core';
import { href, today } from '../app/state';
import { Section } from '../widgets/basics';
import { Form, may, need, value, type Values } from '../widgets/form';
import { later } from '../widgets/later';
import { Convention } from './convention';
import { SaveSetUp } from './copysetup';
import { SetLimit } from './limits';

const NewType = later(async () => (await import('./typework')).NewType);

/** A short key from a name; of a name in another script, the name itself. */
const slug = (s: string) => s.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') || s.replaceAll('/', ' ').trim();

export function SetUp({ job }: { job: JobView }) {
  return (
    <Section title="Set up">
      <p class="actions"><a class="button" href={href('first')}>Step by step</a></p>
      <Box title="People"><People people={job.people} /></Box>
      <Box title="How it is numbered"><Convention job={job} /></Box>
      <p class="actions"><a class="button" href={href('types')}>Engine types</a></p>
      <Box title="Engine"><Engine job={job} /></Box>
      <Box title="Instrument"><Instrument job={job} /></Box>
      <Box title="Limit"><SetLimit /></Box>
      <SaveSetUp />
    </Section>
  );
}

function Box({ title, children }: { title: string; children: ComponentChildren }) {
  return <details><summary>{title}</summary>{children}</details>;
}

/** While nobody is entered yet, whoever sets the job up is its lead. */
export function People({ people, kept }: { people: JobView['people']; kept?: () => void }) {
  const first = people.length === 0;
  const lead: [string, string] = ['lead', 'lead'];
  const fitter: [string, string] = ['fitter', 'fitter'];
  const roles: [string, string][] = [...(first ? [lead, fitter] : [fitter, lead]), ['viewer', 'looks on']];
  return (
    <Form draft="person" fields={[need('name', 'Name'), { name: 'role', label: 'May do', options: roles }]} button="Keep the person" make={async (v, ended) => {
      const person = slug(v['name'] ?? '');
      if (people.some((p) => p.key === person)) throw new Error(`${v['name']} is entered already. If this is somebody else, add to the name what tells them apart.`);
      // The first person holds this phone; said first, or the page would ask who does in the middle of it.
      if (status.value.person === '') await setPerson(person);
      await keep({ kind: 'person', body: { person, name: v['name'], role: v['role'] } }, ended);
      kept?.();
    }} />
  );
}

/** The small form stays open where the whole set-up is; everything else of a type has its own screen. */
export function Type() {
  return (
    <>
      <p>A type is described once and placed as often as there are engines. Cylinders in a row, by this short form; every line of it can be changed afterwards.</p>
      <p class="actions"><a class="button" href={href('types')}>Engine types, and types from a file</a></p>
      <NewType done={() => undefined} />
    </>
  );
}

export function Engine({ job }: { job: JobView }) {
  if (job.types.length === 0) return <p class="empty">Describe its type first.</p>;
  const others = (now: Values) => job.engines.filter((e) => e.asm !== (now['asm'] ?? '').trim()); // it may be there already, without its side
  return (
    <Form button="Keep the engine" draft="engine" fields={(now) => [
      need('asm', 'Serial, as it is stamped on the block'), need('name', 'Its name, as it is said aloud', 'seventeen'),
      { name: 'band', label: 'Its band, for life', options: freeFirst([['solid', 'solid'], ['hatched', 'hatched']], others(now).map((e) => e.band)) },
      { name: 'pattern', label: 'Type', options: job.types.map((t) => [t.key, t.name]) },
      { name: 'side', label: 'It is now', options: freeFirst([['', 'not fitted'], ['left', 'on the left'], ['right', 'on the right']], others(now).map((e) => e.side ?? '')) },
    ]} make={async ({ side, ...body }, ended) => {
      const fitted = side !== '' && side !== undefined;
      const there = job.engines.find((e) => e.asm === body['asm']);
      // The page may have gone between the two entries: then only its side is missing.
      const half = fitted && there !== undefined && there.fitting === undefined && there.name === body['name'] && there.band === body['band'] && await isOf(there, body['pattern']);
      if (there !== undefined && !half) throw new Error(`${body['asm']} is entered already. A serial stands for one engine for life: look at the stamp once more.`);
      if (!half) await keep({ kind: 'engine', body }, fitted ? [] : ended);
      if (fitted) await keep({ kind: 'fitting', body: { moves: [{ asm: body['asm'], side }], day: today() } }, ended);
    }} />
  );
}

async function isOf(engine: { asm: string }, type: string | undefined): Promise<boolean> {
  const { types } = await view<TypesView>('types');
  return types.some((t) => t.key === type && t.engines.some((e) => e.asm === engine.asm));
}

/** Choices that no other engine has taken come first: two engines are never to be alike by a slip. */
function freeFirst(all: [string, string][], taken: string[]): [string, string][] {
  return [...all.filter(([k]) => k === '' || !taken.includes(k)), ...all.filter(([k]) => k !== '' && taken.includes(k))];
}

/** What an instrument may read in: what nothing could be entered for would never be proven with margin. */
const units: [string, string][] = [['mm', 'mm'], ['in', 'in'], ['N.m', 'N·m'], ['cm3', 'cm³'], ['bar', 'bar'], ['psi', 'psi'], ['rpm', 'rpm'], ['deg', '°'], ['degC', '°C'], ['N', 'N'], ['g', 'g']];

export function Instrument({ job }: { job: JobView }) {
  return (
    <>
      <p>No certificate? Read a bar or ring that you trust ten times, with the hands that will measure. The largest difference from its size, and what the bar itself is doubtful by, together are what to write below.</p>
      <Form button="Keep the instrument" draft="instrument" fields={[
        need('instrument', 'Tag', 'M1'), need('what', 'What it is', 'micrometer 50 to 75'), { name: 'unit', label: 'Unit', options: units },
        need('res', 'One step of its scale', '0.001'), { name: 'checked', label: 'How it was checked', options: [['', 'by a laboratory, with its certificate'], ['checked on our own bar', 'on our own bar or ring']] },
        { ...need('u', 'What its certificate, or your own check, allows (±, k = 2)', '0.004'), about: 'k' }, may('from', 'Trusted from'), may('to', 'Trusted to'), may('due', 'Calibration due again on the day', '2031-04-12'),
      ]} make={async (v, ended) => {
        const u = v['unit'] ?? 'mm';
        await keep({ kind: 'instrument', body: { instrument: v['instrument'], what: [v['what'], v['checked']].filter(Boolean).join(', '), res: value(v['res'] ?? '', u), u: value(v['u'] ?? '', u), from: value(v['from'] ?? '', u), to: value(v['to'] ?? '', u), ...(v['due'] === '' ? {} : { due: v['due'] }) }, over: job.instruments.filter((i) => i.key === v['instrument']).map((i) => i.id) }, ended); // entered anew, it takes its own place
      }} />
    </>
  );
}
