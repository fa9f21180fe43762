// Photos taken while something is written: each is kept at its place at once,
// and what is written names it.
import { useState } from 'preact/hooks';
import type { Of } from '../core/types';
import { keepPhoto } from '../app/core';
import { say } from '../app/state';
import { Problem } from './basics';
import { useRoom } from './room';

export function Shots({ of, shots, onShot }: { of?: Of; shots: string[]; onShot: (id: string) => void }) {
  const [error, setError] = useState<string | undefined>();
  const { withRoom, question } = useRoom();
  const shoot = async (e: Event) => {
    const input = e.currentTarget as HTMLInputElement;
    const file = input.files?.[0];
    if (file === undefined) return;
    const bytes = await file.arrayBuffer();
    input.value = '';
    await withRoom('photo', bytes.byteLength, async () => {
      try {
        const { id } = await keepPhoto({ kind: 'photo', body: of === undefined ? {} : { of } }, bytes, file.type === '' ? 'image/jpeg' : file.type);
        onShot(id);
        setError(undefined);
        say('Photo saved on this phone.');
      } catch (x) {
        setError((x as Error).message);
      }
    });
  };
  return (
    <>
      <p class="actions">
        <label class="button file">Take a photo<input type="file" accept="image/*" capture="environment" onChange={(e) => void shoot(e)} /></label>
        {shots.length > 0 && <span class="fine">{shots.length === 1 ? 'one photo' : `${shots.length} photos`} with it</span>}
      </p>
      {question}
      <Problem error={error} />
    </>
  );
}
