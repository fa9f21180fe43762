// One snag: its story, and the next step: cured, seen dry on a test that was
// begun after the cure, or opened again.
import { useState } from 'preact/hooks';
import type { JobView, Photo, SnagStep, SnagView } from '../core/types';
import { keep, status } from '../app/core';
import { href, say, today } from '../app/state';
import { Caution, Of, Problem, Section, sentence, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { Picture } from '../widgets/picture';
import { Shots } from '../widgets/shots';
import { snagMarks } from './snags';

export function SnagScreen({ id, job }: { id: string; job: JobView }) {
  const { value: v, error } = useView<SnagView>('snag', { id, today: today() });
  if (v === undefined) return <Problem error={error} />;
  return (
    <article class="snag">
      {v.engine !== undefined && <Of engines={[v.engine]} />}
      <h1>{v.what}<span class="point-words">{[v.place, v.rate, v.age === undefined ? '' : `open ${v.age}`, v.stop === true ? 'not run until it is seen dry' : ''].filter((t) => t !== undefined && t !== '').join(' · ')}</span></h1>
      <p class={`verdict big snag-state ${v.state}`}><span aria-hidden="true">{snagMarks[v.state]}</span> <span class="word">{v.word}</span></p>
      {v.not_proven !== undefined && <p class="problem">{sentence(v.not_proven)}</p>}
      {v.contest !== undefined && <p><a class="button" href={href('contest', { id: v.contest })}>Settle it</a></p>}
      <Photos photos={v.photos} />
      <Next v={v} job={job} />
      <Story v={v} />
      <p class="actions">
        {v.at_place !== undefined && <a class="button" href={href('point', { asm: v.asm, at: v.at_place })}>To the place</a>}
        <a class="button" href={href('snags', { asm: v.asm })}>All snags of {v.asm}</a>
        <a class="button" href={href('entry', { id: v.id })}>Its entry</a>
      </p>
    </article>
  );
}

function Next({ v, job }: { v: SnagView; job: JobView }) {
  if (v.state === 'struck' || v.state === 'waits' || v.state === 'contested') return null;
  const open = v.state === 'raised' || v.state === 'reopened';
  return (
    <>
      {open && <Cure v={v} title="Cured" />}
      {v.state === 'cured' && <Prove v={v} job={job} />}
      {v.state === 'cured' && <details><summary>Something else was done</summary><Cure v={v} title="Cured again" /></details>}
      {!open && <details><summary>It leaks again, or still</summary><Reopen v={v} /></details>}
    </>
  );
}

/** Keeps a step: it comes after all that is known of the snag, and after what else it names. */
function useStep(v: SnagView): { problem: string | undefined; step: (body: Record<string, unknown>, words: string, finished: string[], also?: string[]) => Promise<boolean> } {
  const [problem, setProblem] = useState<string | undefined>();
  const step = async (body: Record<string, unknown>, words: string, finished: string[], also: string[] = []) => {
    try {
      await keep({ kind: v.step.kind, body: { ...v.step.body, ...body }, after: [...v.step.after, ...also] }, finished);
      setProblem(undefined);
      say(words);
      return true;
    } catch (e) {
      setProblem((e as Error).message);
      return false;
    }
  };
  return { problem, step };
}

const twins = ['', 'the same there', 'sound there', 'not looked at'];

function Cure({ v, title }: { v: SnagView; title: string }) {
  const draft = `snag-cure:${v.id}`;
  const [d, setD, dKept] = useDraft<{ did: string; twin: string; shots: string[] }>(draft, { did: '', twin: '', shots: [] });
  const { problem, step } = useStep(v);
  const cure = async (e: Event) => {
    e.preventDefault();
    const body = { state: 'cured', did: d.did.trim(), twin: d.twin, ...(d.shots.length > 0 ? { photos: d.shots } : {}) };
    if (await step(body, 'Cured. It stays open until somebody sees it dry.', [draft])) dKept();
  };
  return (
    <form onSubmit={(e) => void cure(e)}>
      <h2>{title}</h2>
      <Caution texts={[v.caution]} />
      <label>What was done<textarea rows={2} value={d.did} onInput={(e) => setD({ ...d, did: e.currentTarget.value })} required /></label>
      <label>The same place of {v.twin}
        <select value={d.twin} onChange={(e) => setD({ ...d, twin: e.currentTarget.value })} required>
          {twins.map((t) => <option key={t} value={t}>{t === '' ? 'choose: was it looked at?' : t}</option>)}
        </select>
      </label>
      {v.engine !== undefined && <Shots of={placeOf(v)} words={`the cure of a snag, ${v.asm}`} shots={d.shots} onShot={(id) => setD({ ...d, shots: [...d.shots, id] })} />}
      <Problem error={problem} />
      <button type="submit" class="keep">Keep: cured, {v.asm}</button>
    </form>
  );
}

function placeOf(v: SnagView) {
  const e = v.engine;
  return { asm: v.asm, ...(e?.side === undefined ? {} : { side: e.side }), ...(e?.fitting === undefined ? {} : { fitting: e.fitting }), ...(v.at_place === undefined ? {} : { at: v.at_place }) };
}

/** Seen dry: by whom, and on which test. One that was begun before the cure proves nothing, and is shown with that reason. */
function Prove({ v, job }: { v: SnagView; job: JobView }) {
  const good = v.tests.filter((t) => t.why === undefined);
  const [test, setTest] = useState('');
  const [who, setWho] = useState(status.value.person);
  const { problem, step } = useStep(v);
  const chosen = good.find((t) => t.id === test) ?? good[0];
  const prove = async (e: Event) => {
    e.preventDefault();
    if (chosen !== undefined) await step({ state: 'proven', test: chosen.id, seen_by: who }, 'Seen dry.', [], [chosen.id]);
  };
  return (
    <form class="prove" onSubmit={(e) => void prove(e)}>
      <h2>Seen dry</h2>
      {good.length === 0 ? (
        <>
          <p>Only a pressure test or a run that begins after the cure can show that it is dry.</p>
          <p class="actions"><a class="button" href={href('hold', { asm: v.asm })}>Begin a hold test on {v.asm}</a></p>
        </>
      ) : (
        <>
          <fieldset>
            <legend>On which test or run</legend>
            {good.map((t) => <label key={t.id} class="choice"><input type="radio" name="test" checked={t.id === chosen?.id} onChange={() => setTest(t.id)} /> {t.words}, {when(t.at)}, {t.by}</label>)}
          </fieldset>
          <label>Who saw it dry<select value={who} onChange={(e) => setWho(e.currentTarget.value)}>{job.people.map((p) => <option key={p.key} value={p.key}>{p.name}</option>)}</select></label>
          <Problem error={problem} />
          <button type="submit" class="keep">Keep: seen dry, {v.asm}</button>
        </>
      )}
      {v.tests.length > good.length && (
        <details>
          <summary>Tests that prove nothing here ({v.tests.length - good.length})</summary>
          <ul class="plain-list">{v.tests.filter((t) => t.why !== undefined).map((t) => <li key={t.id}>{t.words}, {when(t.at)}: {t.why}</li>)}</ul>
        </details>
      )}
    </form>
  );
}

function Reopen({ v }: { v: SnagView }) {
  const draft = `snag-again:${v.id}`;
  const [did, setDid, didKept] = useDraft(draft, '');
  const { problem, step } = useStep(v);
  const again = async (e: Event) => {
    e.preventDefault();
    if (await step({ state: 'reopened', did: did.trim() }, 'Open again.', [draft])) didKept();
  };
  return (
    <form onSubmit={(e) => void again(e)}>
      <label>What was seen<textarea rows={2} value={did} onInput={(e) => setDid(e.currentTarget.value)} required /></label>
      <Problem error={problem} />
      <button type="submit">Open it again</button>
    </form>
  );
}

function Story({ v }: { v: SnagView }) {
  return (
    <Section title="What happened">
      <ul class="readings">
        <li><a class="reading" href={href('entry', { id: v.id })}><b>raised</b><span>{v.what}</span><span class="word">{[v.by, when(v.at), v.note].filter((t) => t !== undefined).join(', ')}</span></a></li>
        {v.steps.map((s) => <StepRow key={s.id} s={s} />)}
      </ul>
    </Section>
  );
}

function StepRow({ s }: { s: SnagStep }) {
  const says = [s.did, s.seen_by === undefined ? undefined : `seen by ${s.seen_by}`, s.test, s.twin].filter((t) => t !== undefined).join(' · ');
  return (
    <li class={s.contest === undefined ? '' : 'contested'}>
      <a class="reading" href={href('entry', { id: s.id })}>
        <b>{s.why === undefined ? s.word : <s>{s.word}</s>}</b><span>{says}</span>
        <span class="word">{[s.why === undefined ? undefined : `struck: ${s.why}`, s.not_proven, s.contest === undefined ? undefined : 'not settled', s.by, when(s.at), s.note].filter((t) => t !== undefined).join(', ')}</span>
      </a>
      <Photos photos={s.photos} />
    </li>
  );
}

function Photos({ photos }: { photos: Photo[] }) {
  if (photos.length === 0) return null;
  return (
    <div class="photos">
      {photos.map((p) => <figure key={p.id}><a class="photo-open" href={href('photo', { id: p.id })} aria-label={`Open the photo of ${when(p.at)}`}><Picture sha={p.sha} alt="" /></a><figcaption>{[p.by, when(p.at)].filter((t) => t !== undefined).join(', ')}</figcaption></figure>)}
    </div>
  );
}
