// A drawing that leaves the app: as SVG for whoever draws on, as PNG for what takes only points. Made on this phone, with no network.
import { pictureOut } from '../app/core';
import { say } from '../app/state';

/** of names the drawing in words, file in the downloads; caption stands on it: what it is of, engine and side, unless the drawing says so itself. */
export function PictureOut({ svg, of, file, caption = '' }: { svg: string; of: string; file: string; caption?: string }) {
  const take = async (as: 'svg' | 'png') => {
    try {
      say(`${await pictureOut(svg, caption, file, as)} is in the downloads.`);
    } catch (e) {
      say((e as Error).message);
    }
  };
  return (
    <span class="picture-out" role="group" aria-label={`Picture of ${of}, to take out`}>
      <button type="button" aria-label={`SVG picture of ${of}`} onClick={() => void take('svg')}>SVG</button>
      <button type="button" aria-label={`PNG picture of ${of}`} onClick={() => void take('png')}>PNG</button>
    </span>
  );
}
