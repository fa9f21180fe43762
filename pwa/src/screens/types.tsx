// Engine types: which there are and what is of each; a new one from a small
// form or a file; each as a file to keep or to lend to another workshop.
import { useState } from 'preact/hooks';
import type { TypesView } from '../core/types';
import { saveDraft, status } from '../app/core';
import { saveFile } from '../app/file';
import { go, href } from '../app/state';
import { EngineName, Problem, Section, useView } from '../widgets/basics';
import { draftOf, empty } from './typework';

export function TypesScreen() {
  const { value: v, error } = useView<TypesView>('types');
  if (v === undefined) return <Problem error={error} />;
  const lead = status.value.role === 'lead';
  return (
    <>
      <h1>Engine types</h1>
      <p>A type is described once and placed as often as there are engines. It says what is measured where, and draws the map.</p>
      {lead && <p class="actions"><a class="button primary" href={href('type')}>A new type</a><TakeFile /></p>}
      {v.types.length === 0 && <p class="empty">No engine type yet.</p>}
      {v.types.map((t) => (
        <Section key={t.key} title={t.name} id={`type-${t.key}`}>
          <p>{t.says}</p>
          {t.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>)}
          <p class="actions">
            {lead && t.file !== undefined && <a class="button" href={href('type', { key: t.key })}>{`Change ${t.name}`}</a>}
            {t.file !== undefined && <button type="button" onClick={() => saveFile(`type-${t.key}.json`, t.file ?? '', 'application/json')}>Save it as a file</button>}
          </p>
        </Section>
      ))}
    </>
  );
}

/** A file is looked at first, old beside new: nothing is kept by choosing it. */
function TakeFile() {
  const [error, setError] = useState<string | undefined>();
  const read = async (file: File | undefined) => {
    if (file === undefined) return;
    try {
      await saveDraft(draftOf('file'), { ...empty, file: await file.text() });
      go('type', { from: 'file' });
    } catch (x) {
      setError((x as Error).message);
    }
  };
  return (
    <>
      <label class="button file">Take in a type from a file<input type="file" accept="application/json,.json" onChange={(e) => void read(e.currentTarget.files?.[0])} /></label>
      <Problem error={error} />
    </>
  );
}
