// A photo from the phone's store or the office, decoded when its turn has come.
import { useEffect, useRef, useState } from 'preact/hooks';
import { photo, status } from '../app/core';
import { decoding } from '../app/turns';

export interface Size { wide: number; high: number }

/** onSize hears its size in pixels, upright as it is seen. */
export function Picture({ sha, alt, onSize }: { sha: string; alt: string; onSize?: (s: Size) => void }) {
  const img = useRef<HTMLImageElement>(null);
  const [state, setState] = useState<'coming' | 'here' | 'away'>('coming');
  const tryAgain = state === 'away' ? status.value.last : '';
  useEffect(() => {
    let gone = false;
    const show = async () => {
      const url = await photo(sha);
      if (url === undefined) return void (gone || setState('away'));
      await decoding(async () => {
        const el = img.current;
        if (gone || el === null) return;
        el.src = url;
        await el.decode();
        if (gone) return;
        setState('here');
        onSize?.({ wide: el.naturalWidth, high: el.naturalHeight });
      });
    };
    show().catch(() => gone || setState('away'));
    return () => { gone = true; };
  }, [sha, tryAgain]);
  return (
    <>
      <img ref={img} alt={alt} hidden={state !== 'here'} />
      {state !== 'here' && <span class="no-photo">{state === 'coming' ? 'opening' : 'not on this phone; it comes when the office can be reached'}</span>}
    </>
  );
}
