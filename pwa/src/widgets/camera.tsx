// The way to a photo: the camera is opened, what comes back is kept with its
// place, and what could not be kept stays in hand until it is kept or left (T3, T8).
import { useRef, useState } from 'preact/hooks';
import { keepPhoto, status } from '../app/core';
import { forgetShot, lostShot, openCamera, shotDraft } from '../app/shot';
import { href, route, say } from '../app/state';
import { Problem } from './basics';
import { useRoom } from './room';

/** words: what it is a photo of, for whoever has to take it again. */
interface Aim { body: Record<string, unknown>; words: string }
interface Picture extends Aim { bytes: ArrayBuffer; type: string }

/** The button, and below the line that holds it what has to be asked or said. */
export function useCamera(aim: Aim, onKept?: (id: string) => void): { button: preact.JSX.Element; says: preact.JSX.Element } {
  const [error, setError] = useState<string | undefined>();
  const aimed = useRef<Aim | undefined>(undefined); // the place is the one that the camera was opened for, wherever the page has got to since
  const [inHand, hold] = useState<Picture | undefined>();
  const { withRoom, question } = useRoom(() => leave());
  const leave = () => {
    hold(undefined);
    setError(undefined);
    forgetShot();
  };
  const store = (p: Picture) => withRoom('photo', p.bytes.byteLength, async () => {
    try {
      const { id } = await keepPhoto({ kind: 'photo', body: p.body }, p.bytes, p.type, [shotDraft]);
      hold(undefined);
      setError(undefined);
      lostShot.value = undefined;
      onKept?.(id);
      say('Photo saved on this phone.');
    } catch (x) {
      hold(p);
      setError((x as Error).message);
    }
  });
  const came = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    if (file === undefined) return;
    try {
      const picture = { ...(aimed.current ?? aim), bytes: await file.arrayBuffer(), type: file.type === '' ? 'image/jpeg' : file.type };
      input.value = '';
      await store(picture);
    } catch (x) {
      setError(`The camera's picture cannot be read: ${(x as Error).message}. Take it again.`);
    }
  };
  const open = () => {
    aimed.current = aim;
    openCamera(aim.words);
  };
  const button = (
    <label class="button file">
      Take a photo
      <input type="file" accept="image/*" capture="environment" onClick={open} onCancel={forgetShot} onChange={(e) => void came(e.currentTarget)} />
    </label>
  );
  const says = (
    <>
      {question}
      <Problem error={error} />
      {inHand !== undefined && question === null && (
        <div class="question" role="group" aria-label="A photo that is not kept yet">
          <p><b>The photo is not kept yet:</b> {inHand.words}. It is in hand as long as the app stays open.</p>
          <p class="actions">
            <button type="button" class="primary" onClick={() => void store(inHand)}>Keep the photo again</button>
            <button type="button" onClick={leave}>Leave it</button>
          </p>
        </div>
      )}
    </>
  );
  return { button, says };
}

/** A picture that the phone took away together with the page. */
export function ShotBar() {
  const shot = lostShot.value;
  if (shot === undefined || shot.job !== status.value.job) return null;
  void route.value; // drawn anew wherever one walks
  const here = shot.hash === location.hash;
  return (
    <section class="voice-bar" aria-label="A photo that was not kept">
      <p role="alert"><b>A photo was not kept:</b> {shot.words}. The camera was open for it, and the phone closed the app before the picture came back. {here ? 'Take it again below.' : 'Take it again there.'}</p>
      <p class="actions">
        {!here && <a class="button primary" href={shot.hash === '' ? href('engine') : shot.hash}>To its place</a>}
        <button type="button" onClick={forgetShot}>Leave it</button>
      </p>
    </section>
  );
}
