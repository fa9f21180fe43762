// Notes and photos of a place.
import { useEffect, useState } from 'preact/hooks';
import type { Photo, PointView } from '../core/types';
import { keep, keepPhoto, loadDraft, dropDraft, photo, saveDraft } from '../app/core';
import { say } from '../app/state';
import { Problem, Section, when } from '../widgets/basics';

export function PlaceNotes({ v, asm, at }: { v: PointView; asm: string; at: string }) {
  const draft = `note:${asm}/${at}`;
  const [text, setText] = useState('');
  const [error, setError] = useState<string | undefined>();
  useEffect(() => void loadDraft<string>(draft).then((t) => setText(t ?? '')), [draft]);
  const { point: _, ...place } = v.of;
  const note = async (e: Event) => {
    e.preventDefault();
    try {
      await keep({ kind: 'note', body: { of: place, text: text.trim() } });
      await dropDraft(draft);
      setText('');
      say('Note saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
  };
  const shoot = async (e: Event) => {
    const input = e.currentTarget as HTMLInputElement;
    const file = input.files?.[0];
    if (file === undefined) return;
    try {
      await keepPhoto({ kind: 'photo', body: { of: place } }, await file.arrayBuffer(), file.type === '' ? 'image/jpeg' : file.type);
      say('Photo saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
    input.value = '';
  };
  return (
    <Section title="Photos and notes">
      <label class="button file">
        Take a photo
        <input type="file" accept="image/*" capture="environment" onChange={(e) => void shoot(e)} />
      </label>
      <form class="note-form" onSubmit={(e) => void note(e)}>
        <label>Note<textarea rows={2} value={text} onInput={(e) => (setText(e.currentTarget.value), void saveDraft(draft, e.currentTarget.value))} required /></label>
        <button type="submit">Keep the note</button>
      </form>
      <Problem error={error} />
      <div class="photos">{v.photos.map((p) => <Picture key={p.id} p={p} />)}</div>
      <ul class="notes">
        {v.notes.map((n) => <li key={n.id}>{n.text} <span class="who">{n.by}, {when(n.at)}</span></li>)}
      </ul>
    </Section>
  );
}

export function Picture({ p }: { p: Photo }) {
  const [url, setURL] = useState<string | undefined>();
  useEffect(() => void photo(p.sha).then(setURL), [p.sha]);
  const words = [p.caption ?? p.where, p.by, when(p.at)].filter((t) => t !== undefined && t !== '').join(', ');
  return (
    <figure>
      {url === undefined ? <div class="no-photo">not on this phone yet</div> : <img src={url} alt={words} loading="lazy" />}
      <figcaption>{words}</figcaption>
    </figure>
  );
}
