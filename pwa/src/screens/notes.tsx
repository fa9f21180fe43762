// Photos, voice notes and notes of a place.
import { useState } from 'preact/hooks';
import type { Photo, PointView } from '../core/types';
import { keep } from '../app/core';
import { href, say } from '../app/state';
import { Problem, Section, when } from '../widgets/basics';
import { useCamera } from '../widgets/camera';
import { useDraft } from '../widgets/draft';
import { Picture } from '../widgets/picture';
import { VoiceButton, VoiceList } from './voice';

export function PlaceNotes({ v, asm, at }: { v: PointView; asm: string; at: string }) {
  const [text, setText, textKept] = useDraft(`note:${asm}/${at}`, '');
  const [error, setError] = useState<string | undefined>();
  const { point: _, ...place } = v.of;
  const { button, says } = useCamera({ body: { of: place }, words: `${v.engine.asm}, ${v.words}` });
  const note = async (e: Event) => {
    e.preventDefault();
    try {
      await keep({ kind: 'note', body: { of: place, text: text.trim() } }, [`note:${asm}/${at}`]);
      textKept();
      say('Note saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
  };
  return (
    <Section title="Photos and notes">
      <p class="actions">
        {button}
        <VoiceButton of={place} words={`${v.engine.asm}, ${v.words}`} />
      </p>
      {says}
      <form class="note-form" onSubmit={(e) => void note(e)}>
        <label>Note<textarea rows={2} value={text} onInput={(e) => setText(e.currentTarget.value)} required /></label>
        <button type="submit">Keep the note</button>
      </form>
      <Problem error={error} />
      <div class="photos">{v.photos.map((p) => <Small key={p.id} p={p} />)}</div>
      <VoiceList voices={v.voices} />
      <ul class="notes">
        {v.notes.map((n) => <li key={n.id}>{n.text} <span class="who">{n.by}, {when(n.at)}</span></li>)}
      </ul>
    </Section>
  );
}

/** A photo in a list; it opens large. */
function Small({ p }: { p: Photo }) {
  const words = [p.caption ?? p.where, p.by, when(p.at), p.marked].filter((t) => t !== undefined && t !== '').join(', ');
  const id = `photo-${p.id.slice(0, 16)}`;
  return (
    <figure>
      <a class="photo-open" href={href('photo', { id: p.id })} aria-labelledby={`${id}-open ${id}-words ${id}-state`}>
        <span class="unseen" id={`${id}-open`}>Open the photo:</span><span id={`${id}-state`}><Picture sha={p.sha} alt="" /></span>
      </a>
      <figcaption id={`${id}-words`}>{words}</figcaption>
    </figure>
  );
}
