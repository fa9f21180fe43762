// One engine type at work: made from the small form, or changed line by line,
// as it stands or as a file says it. The core draws it, says what is wrong and
// what would change; nothing is kept before that was seen.
import { useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';
import type { TypeView } from '../core/types';
import { keep, status, view } from '../app/core';
import { go, href, say } from '../app/state';
import { Drawing, Problem, Section, useView } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { PictureOut } from '../widgets/pictureout';
import { TypeForm } from './typeform';
import { TypeLines, type Set } from './typelines';

/** What is half done of a type; edits by the key of the sheet's line. */
export interface TypeDraft { form: Record<string, string>; edits: Record<string, string>; file: string }

export const empty: TypeDraft = { form: {}, edits: {}, file: '' };
export const draftOf = (which: string) => `type:${which}`;

export function TypeScreen({ type, from }: { type: string; from: string }) {
  if (status.value.role !== 'lead') return <p class="empty">The lead makes and changes engine types.</p>;
  const which = type !== '' ? `of/${type}` : from === 'file' ? 'file' : 'new';
  if (which === 'new') return <><h1>A new engine type</h1><NewType done={(key) => go('type', { key })} /></>;
  return <ChangeType key={which} which={which} type={type} />;
}

/** The small form with its drawing; what the form does not ask is changed afterwards, line by line. */
export function NewType({ done }: { done: (key: string) => void }) {
  const [d, setD, dKept] = useDraft<TypeDraft>(draftOf('new'), empty);
  const [tried, setTried] = useState(false);
  const { value: v, error } = useView<TypeView>('type', { form: d.form });
  const make = async (e: Event) => {
    e.preventDefault();
    setTried(true);
    // Asked anew: what is drawn may be of the letter before the last.
    const now = await view<TypeView>('type', { form: d.form });
    if (now.draft === undefined) return;
    await keep(now.draft, [draftOf('new')]);
    dKept();
    say('The type is kept on this phone.');
    done(now.key ?? '');
  };
  return (
    <form class="type-work" onSubmit={(e) => void make(e)} noValidate>
      <div>
        <TypeForm form={d.form} wrong={v?.wrong ?? []} tried={tried} set={(name, text) => setD({ ...d, form: { ...d.form, [name]: text } })} />
        <Problem error={error ?? general(v)} />
        {tried && (v?.wrong ?? []).some((w) => w.key !== undefined) && <p class="problem" role="alert">Not kept yet: look at the lines above that say what they need.</p>}
        <button type="submit" class="keep">Keep the type</button>
      </div>
      <Drawings v={v} />
    </form>
  );
}

const general = (v: TypeView | undefined) => v?.wrong.find((w) => w.key === undefined)?.says;

function ChangeType({ which, type }: { which: string; type: string }) {
  const [d, setD, dKept] = useDraft<TypeDraft>(draftOf(which), empty);
  const [stud, setStud] = useState('');
  const [seen, setSeen] = useState(false);
  const [problem, setProblem] = useState<string | undefined>();
  const asked = { ...(type === '' ? {} : { pattern: type }), ...(d.file === '' ? {} : { file: d.file }), stud, edits: Object.entries(d.edits).map(([key, text]) => ({ key, text })) };
  const { value: v, error } = useView<TypeView>('type', asked);
  if (v === undefined) return <Problem error={error} />;
  const set: Set = (key, text) => {
    const { [key]: _, ...rest } = d.edits;
    setSeen(false);
    setD({ ...d, edits: text === undefined ? rest : { ...d.edits, [key]: text } });
  };
  const forget = () => {
    setD(undefined);
    go('types');
  };
  const make = async () => {
    const now = await view<TypeView>('type', asked);
    if (now.draft === undefined) return;
    // What is kept is what stood there to be looked at.
    if (JSON.stringify(now.draft) !== JSON.stringify(v.draft)) return setProblem('It has just changed: look at what changes, then keep it.');
    if (v.lost.length > 0 && !seen) return setProblem('Places would go that something was entered at. Read which, and tick that it is meant.');
    try {
      await keep(now.draft, [draftOf(which)]);
      dKept();
      say('The type is kept on this phone.');
      go('types');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  const file = which === 'file';
  return (
    <>
      <h1>{v.name ?? 'Engine type'}<span class="point-words">{v.says ?? ''}</span></h1>
      <Problem error={general(v)} />
      {v.fields !== undefined && (
        <div class="type-work">
          <div>
            {file && <p class="notice">{v.stands ? 'This type is here already. What the file says otherwise stands below, old beside new; nothing is kept yet.' : 'A type that is not here yet. Nothing is kept yet.'}</p>}
            <Changes v={v} />
            {v.lost.length > 0 && (
              <div class="notice warn">
                <p>Something was entered at what would go. None of it is lost:</p>
                <ul class="plain-list">{v.lost.map((l) => <li key={l}>{l}</li>)}</ul>
                <label class="choice"><input type="checkbox" checked={seen} onChange={(e) => setSeen(e.currentTarget.checked)} /> That is meant</label>
              </div>
            )}
            <Problem error={problem} />
            <p class="actions">
              <button type="button" class="primary" disabled={v.draft === undefined} onClick={() => void make()}>{v.stands ? 'Keep the changed type' : 'Keep the type'}</button>
              {(file || Object.keys(d.edits).length > 0) && <button type="button" onClick={forget}>Leave it as it was</button>}
              <a class="button" href={href('types')}>All types</a>
            </p>
            <TypeLines v={v} edits={d.edits} set={set} stud={stud} onStud={setStud} />
          </div>
          <Drawings v={v} onStud={(joint, name) => setStud(`${joint}|${name}`)} />
        </div>
      )}
    </>
  );
}

function Changes({ v }: { v: TypeView }) {
  const list = v.changes ?? [];
  if (!v.stands || list.length === 0) return v.stands ? <p class="fine">Nothing is changed yet. Change a line below; old and new stand here before anything is kept.</p> : null;
  return (
    <Section title={`What changes (${list.length})`}>
      <div class="scroll" tabIndex={0} role="region" aria-label="What changes">
        <table class="moved" data-testid="changes"><thead><tr><th scope="col">Line</th><th scope="col">Was</th><th scope="col">Is then</th></tr></thead>
          <tbody>{list.map((c, i) => <tr key={i}><th scope="row">{[c.of, c.label].filter((t) => t !== undefined).join(': ')}</th><td class="figure">{c.was === '' ? 'nothing' : c.was}</td><td class="figure">{c.now === '' ? 'nothing' : c.now}</td></tr>)}</tbody></table>
      </div>
    </Section>
  );
}

function Drawings({ v, onStud }: { v: TypeView | undefined; onStud?: (joint: string, name: string) => void }): ComponentChildren {
  if (v?.svg === undefined) return <p class="empty">The drawing begins with the number of cylinders.</p>;
  return (
    <div class="type-drawings" tabIndex={0} role="region" aria-label="Drawings">
      <Drawing svg={v.svg} label={`${v.name}: block and crank, ${v.says ?? ''}`} />
      <PictureOut svg={v.svg} of={`${v.name}, block and crank`} file={`type-${v.name}`} />
      {(v.joints ?? []).map((j) => (
        <section key={j.joint} aria-label={j.words}>
          <h3>{j.words}{onStud !== undefined && <span class="fine">, touch one to move it</span>}</h3>
          <Drawing svg={j.svg} attribute="data-fastener" label={`${j.words}: fasteners`} onPick={(name) => onStud?.(j.joint, name)} />
          <PictureOut svg={j.svg} of={`${v.name}, ${j.words}`} file={`type-${v.name}-${j.joint}`} caption={`${v.name}: ${j.words}`} />
        </section>
      ))}
    </div>
  );
}
