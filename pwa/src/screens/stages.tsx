// Stages and hold points: how far both engines are, what each hold point still
// waits for, and the signature of the person entitled.
import { useState } from 'preact/hooks';
import type { HoldPoint, Stage, StagesView } from '../core/types';
import { keep, status } from '../app/core';
import { href, say } from '../app/state';
import { Caution, EngineName, Problem, Section, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

const shapes: Record<HoldPoint['state'], string> = { open: '▷', met: '◇', signed: '◆', conceded: '◈', broken: '■', contested: '◐' };

export function StagesScreen() {
  const { value: v, error } = useView<StagesView>('stages');
  const [problem, setProblem] = useState<string | undefined>();
  if (v === undefined) return <Problem error={error} />;
  const begin = async () => {
    if (v.draft === undefined) return;
    try {
      await keep(v.draft);
      say('The plan is in the record.');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  const lead = status.value.role === 'lead';
  return (
    <>
      <h1>Stages and hold points</h1>
      {v.draft !== undefined && (
        <div class="notice">
          <p>This job has no plan yet. A common order of the work, with fourteen hold points, can be put in and changed later.</p>
          {lead ? <button type="button" onClick={() => void begin()}>Put in the common plan</button> : <p>The lead puts one in.</p>}
          <Problem error={problem} />
        </div>
      )}
      {lead && v.draft === undefined && <p class="actions"><a class="button" href={href('plan')}>Change the plan</a></p>}
      <div class="columns">
        {v.engines.map((e) => (
          <section key={e.engine.asm} class="column" aria-label={`${e.engine.asm} ${e.engine.where}`}>
            <h2><EngineName e={e.engine} /></h2>
            <ol class="stages">{e.stages.map((s) => <StageLine key={s.key} s={s} of={e.engine.asm} lead={lead} />)}</ol>
          </section>
        ))}
      </div>
      {v.pair.length > 0 && <Section title="Both engines together"><ol class="stages">{v.pair.map((s) => <StageLine key={s.key} s={s} of="pair" lead={lead} />)}</ol></Section>}
      <Caution texts={["A signature says that somebody looked, not that nothing can go wrong. The maker's manual, local rules and licensed practice come first."]} />
    </>
  );
}

function StageLine({ s, of, lead }: { s: Stage; of: string; lead: boolean }) {
  const h = s.hold;
  if (h === undefined) return <li class="no-hold"><span class="line-title">{s.title}</span><span class="fine">no hold point</span></li>;
  return (
    <li class={`hold-point ${h.state}`}>
      <details>
        <summary>
          <span class="line-title">{s.title} <span class="fine">{h.key}</span></span>
          <span class="verdict"><span aria-hidden="true">{shapes[h.state]}</span> <span class="word">{h.word}</span></span>
        </summary>
        <p><b>{h.key}</b>: {h.title}.</p>
        {h.signed !== undefined && <Signed by={h.signed} word={h.word} />}
        {h.changed.length > 0 && <><p class="problem">It was signed on readings that have changed since:</p><ul class="plain-list">{h.changed.map((c) => <li key={c}>{c}</li>)}</ul></>}
        {h.todo.length > 0 && <ul class="plain-list todo">{h.todo.map((t) => { const { screen, ...params } = t.open; return <li key={t.words}><a href={href(screen, params)}>{t.words}</a></li>; })}</ul>}
        {lead && h.draft !== undefined && <SignIt h={h} draft={`sign:${of}/${h.key}`} />}
        {lead && h.before !== undefined && <DoneBefore entry={h.before} draft={`before:${of}/${h.key}`} />}
      </details>
    </li>
  );
}

/** Who signed; what was done before anybody wrote here is no signature for what was seen, and does not read as one. */
function Signed({ by, word }: { by: NonNullable<HoldPoint['signed']>; word: string }) {
  const link = (words: string) => <><a href={href('entry', { id: by.id })}>{words} by {by.by}</a> <span class="who">{when(by.at)}</span></>;
  if (by.before === true) return <p>{link(`${word[0]?.toUpperCase()}${word.slice(1)}; written down`)}{by.why === word ? '.' : <>. {by.why}</>}</p>;
  return <p>{link('Signed')}{by.why !== undefined && <>, with a concession: {by.why}</>}</p>;
}

/** A job that was half done when the record began: nothing is claimed but that, and who says so. */
function DoneBefore({ entry, draft }: { entry: NonNullable<HoldPoint['before']>; draft: string }) {
  const [d, setD, dKept] = useDraft(draft, { asked: false, says: '', how: '' });
  const { asked, says, how } = d;
  const [problem, setProblem] = useState<string | undefined>();
  const done = async (e: Event) => {
    e.preventDefault();
    if (says.trim() === '' || how.trim() === '') return setProblem('Say who says so, and how that is known: whoever reads this in ten years was not here.');
    await keep({ ...entry, body: { ...entry.body, says: says.trim(), how: how.trim() } }, [draft]).then(() => (dKept(), say('Kept as done before, not recorded.')), (x: Error) => setProblem(x.message));
  };
  if (!asked) {
    return (
      <>
        <p class="fine">Was this stage over before anybody wrote here? Then say just that; it stands so in the record book.</p>
        <button type="button" onClick={() => setD({ ...d, asked: true })}>Done before, not recorded</button>
      </>
    );
  }
  return (
    <form class="question" onSubmit={(e) => void done(e)} noValidate>
      <p>This is no signature: nobody looked for this record. It says that the stage was over before, and on whose word.</p>
      <label>Who says that it was done<input value={says} onInput={(e) => setD({ ...d, says: e.currentTarget.value })} /></label>
      <label>How that is known<textarea rows={2} value={how} onInput={(e) => setD({ ...d, how: e.currentTarget.value })} /></label>
      <Problem error={problem} />
      <p class="actions"><button type="submit">Keep as done before, not recorded</button><button type="button" onClick={() => setD({ ...d, asked: false })}>Leave it open</button></p>
    </form>
  );
}

/** With nothing to do it is signed by a tap; with something left only as a concession, and that has a reason. */
function SignIt({ h, draft }: { h: HoldPoint; draft: string }) {
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [problem, setProblem] = useState<string | undefined>();
  const open = h.todo.length > 0;
  const sign = async () => {
    if (h.draft === undefined) return;
    if (open && why.trim() === '') return setProblem('Say why it may go on all the same: whoever reads this in ten years was not here.');
    try {
      await keep({ ...h.draft, body: why.trim() === '' ? h.draft.body : { ...h.draft.body, why: why.trim() } }, [draft]);
      whyKept();
      setProblem(undefined);
      say(`${h.key} is signed.`);
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <>
      {open && <label>Why it may go on all the same<textarea rows={2} value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></label>}
      <Problem error={problem} />
      <button type="button" onClick={() => void sign()}>{h.state === 'broken' ? `Look, and sign ${h.key} again` : open ? `Sign ${h.key} with a concession` : `Sign ${h.key}`}</button>
    </>
  );
}
