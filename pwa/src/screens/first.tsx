// The first hour: from an empty office to the first reading, step by step. What
// is done is seen from the record itself, so anybody may go on where another
// left off; each step says why it is asked.
import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { JobView, SheetView } from '../core/types';
import { status } from '../app/core';
import { href } from '../app/state';
import { Caution, EngineName, Problem, useView } from '../widgets/basics';
import { Convention } from './convention';
import { TakeSetUp } from './copysetup';
import { SetLimit } from './limits';
import { Engine, Instrument, People, Type } from './setup';

interface Step { key: string; title: string; done: string; why: string; form: ComponentChildren }

export const cautions = [
  'The maker\'s manual, local rules and a licensed or experienced person come before anything this tool says. It advises; it never controls an engine.',
  'Turn the engine by hand, injectors out, starter isolated, when anything is near a piston or a valve.',
  'A number on a phone does not hold a crankshaft. Chock it; nobody under a load.',
  'Old gaskets may hold asbestos: do not brush, blow or sand them.',
];

export function FirstScreen({ job }: { job: JobView }) {
  if (status.value.role !== 'lead') return <p class="empty">The lead sets the job up. Until then there is nothing to measure.</p>;
  // Whoever has entered one person usually enters more: the step stays until they go on.
  const [entering, setEntering] = useState(false);
  const steps = stepsOf(job, <Crew job={job} entering={entering} setEntering={setEntering} />);
  const next = steps.find((s) => s.done === '')?.key;
  const now = entering ? 'people' : next;
  const shown = useRef(now);
  useEffect(() => {
    // The step that was done shuts, and the page with it: the next one is brought to the eye.
    if (shown.current !== now) document.querySelector<HTMLElement>('.first-steps > .now summary')?.scrollIntoView({ block: 'center' });
    shown.current = now;
  }, [now]);
  return (
    <>
      <h1>The first hour</h1>
      <p>From here to the first reading. Everything can be put right later; do it at the vehicle, with whoever will measure. No signal is needed but for pairing phones.</p>
      <TakeSetUp />
      <ol class="first-steps">
        {steps.map((s) => (
          <li key={s.key} class={s.key === now ? 'now' : s.done !== '' ? 'done' : ''}>
            <details open={s.key === now}>
              <summary><span class="line-title">{s.title}</span> <span class="fine">{s.done !== '' ? `done: ${s.done}` : s.key === now ? 'now' : 'to do'}</span></summary>
              <p>{s.why}</p>
              {s.form}
            </details>
          </li>
        ))}
      </ol>
      <Caution texts={cautions} />
      <FirstReading job={job} ready={next === undefined || next === 'limits'} />
      {job.engines.length > 0 && <InTheMiddle />}
    </>
  );
}

function Crew({ job, entering, setEntering }: { job: JobView; entering: boolean; setEntering: (more: boolean) => void }) {
  const more = entering && job.people.length > 0; // taken back, the first one is asked for again
  return (
    <>
      {more && <><p role="status" data-testid="entered">{job.people.map((p) => p.name).join(', ')}: {job.people.length === 1 ? 'entered' : `${job.people.length} are entered`}.</p><h3>Another person</h3></>}
      <People people={job.people} kept={() => setEntering(true)} />
      {more && <button type="button" class="wide primary" onClick={() => setEntering(false)}>Nobody else: go on</button>}
    </>
  );
}

function stepsOf(job: JobView, crew: ComponentChildren): Step[] {
  const names = (list: string[]) => list.slice(0, 4).join(', ') + (list.length > 4 ? ' and more' : '');
  const accepted = job.limits.filter((l) => l.accepted).length;
  return [
    {
      key: 'people', title: 'Who takes part', done: names(job.people.map((p) => p.name)), form: crew,
      why: 'Yourself first, as lead. Every entry names who wrote it and who measured, so that a question can be put to somebody. Add the others as they come.',
    },
    {
      key: 'numbering', title: 'How it is numbered', done: job.numbering?.name ?? '', form: <Convention job={job} />,
      why: 'Which end is number 1, named by a thing that nobody can mistake, and what left and right mean. Two honest people with two honest rule books number the same piston 1 and 6. Paint it on before the first nut.',
    },
    {
      key: 'type', title: 'The engine type', done: names(job.types.map((t) => t.name)), form: <Type />,
      why: 'Described once for both engines: it draws the map and knows which points are measured. Sizes may be left out now. They are the maker\'s; a size from another engine is none for yours.',
    },
    {
      key: 'engines', title: 'The two engines', done: job.engines.length < 2 ? '' : names(job.engines.map((e) => e.asm)), form: <><EngineList job={job} /><Engine job={job} /></>,
      why: 'By the serial on the block: that is who an engine is. The side is only where it is now. Give each a short name as it is said aloud, and its own band, plain or hatched, for life. One engine alone works too.',
    },
    {
      key: 'instruments', title: 'What you measure with', done: names(job.instruments.map((i) => i.key)), form: <Instrument job={job} />,
      why: 'Scratch a tag on each tool. What its certificate or your own check allows goes into every result: without it a figure claims more than it can.',
    },
    {
      key: 'limits', title: 'What is allowed', done: accepted === 0 ? '' : `${accepted} accepted`, form: <SetLimit />,
      why: 'Each limit with its source, word for word as printed. You can measure without; then nothing is judged. Common practice is offered under Job, and judges nothing until you take it.',
    },
  ];
}

function EngineList({ job }: { job: JobView }) {
  return <>{job.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>)}</>;
}

/** The way on: other phones, and the first point of the first sheet. */
function FirstReading({ job, ready }: { job: JobView; ready: boolean }) {
  const first = job.engines[0];
  return (
    <section class="part" aria-labelledby="first-reading">
      <h2 id="first-reading">The first phone, and the first reading</h2>
      {job.readings > 0 && <p class="notice" role="status" data-testid="first-done">{job.readings === 1 ? 'The first reading is kept.' : `${job.readings} readings are kept.`} The job has begun.</p>}
      <p>Pair the phone that goes under the vehicle while it still has a signal, and put the app on its home screen. After that it needs none.</p>
      <p class="actions"><a class="button" href={href('people')}>Pair a phone</a><a class="button" href={href('tags')}>Print tags</a><a class="button" href={href('stages')}>Put in a plan of stages</a></p>
      {first === undefined ? <p class="empty">The first point to measure stands here once there is an engine.</p> : <Next asm={first.asm} ready={ready} />}
    </section>
  );
}

/** For a job that was half done before anybody wrote here. */
function InTheMiddle() {
  return (
    <section class="part" aria-labelledby="in-the-middle">
      <h2 id="in-the-middle">Half of it is done already?</h2>
      <p>Then say what is known, and no more. A stage that was over before is kept as 'done before, not recorded'. Figures from a notebook or a table come in as they stand there: 'about 2019' is a good answer to when, and nobody knows is one to who.</p>
      <p class="actions"><a class="button" href={href('stages')}>Stages that were over before</a><a class="button" href={href('listin')}>Take in a list</a><a class="button" href={href('paper', { key: 'in' })}>Key in a sheet</a></p>
    </section>
  );
}

function Next({ asm, ready }: { asm: string; ready: boolean }) {
  const { value: v, error } = useView<SheetView>('sheet', { asm });
  if (v === undefined) return <Problem error={error} />;
  if (v.next === undefined) return null;
  return (
    <>
      {!ready && <p class="fine">You may measure now; what is still to do above can follow.</p>}
      <a class="button wide primary" href={href('point', { asm: v.next.asm, at: v.next.at, point: v.next.point })}>Measure {v.engine.asm}: {v.next.words}</a>
    </>
  );
}
