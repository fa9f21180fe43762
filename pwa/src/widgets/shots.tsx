// Photos taken while something is written: each is kept at its place at once,
// and what is written names it.
import type { Of } from '../core/types';
import { useCamera } from './camera';

export function Shots({ of, words, shots, onShot }: { of?: Of; words: string; shots: string[]; onShot: (id: string) => void }) {
  const { button, says } = useCamera({ body: of === undefined ? {} : { of }, words }, onShot);
  return (
    <>
      <p class="actions">
        {button}
        {shots.length > 0 && <span class="fine">{shots.length === 1 ? 'one photo' : `${shots.length} photos`} with it</span>}
      </p>
      {says}
    </>
  );
}
