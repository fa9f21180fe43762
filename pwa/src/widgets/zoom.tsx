// A drawing made larger by a tap: it scrolls sideways in a frame of its own, by finger or keys, and the page stays.
import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';
import { sit, sitting } from '../app/state';

/** The sizes there are; each has its class in the style sheet. */
const sizes = ['whole width', 'one and a half times', 'twice', 'three times'];

export function Zoom({ of, children, keys }: { of: string; children: ComponentChildren; keys?: ComponentChildren }) {
  const frame = useRef<HTMLDivElement>(null);
  const middle = useRef(0.5); // what was looked at stays in the middle
  const size = Math.min(sitting.value.zoom, sizes.length - 1);
  useLayoutEffect(() => {
    const f = frame.current;
    if (f !== null) f.scrollLeft = middle.current * f.scrollWidth - f.clientWidth / 2;
  }, [size]);
  const to = (zoom: number) => {
    const f = frame.current;
    if (f !== null) middle.current = (f.scrollLeft + f.clientWidth / 2) / f.scrollWidth;
    sit({ zoom });
  };
  const scrolls = size === 0 ? {} : { tabIndex: 0, role: 'region' as const, 'aria-label': `Map of ${of}, ${sizes[size]}: scrolls sideways` };
  return (
    <>
      <div class="zoom-keys" role="group" aria-label={`Size of the map of ${of}`}>
        <button type="button" disabled={size === sizes.length - 1} aria-label={`Larger, map of ${of}`} onClick={() => to(size + 1)}>Larger</button>
        <button type="button" disabled={size === 0} aria-label={`Smaller, map of ${of}`} onClick={() => to(size - 1)}>Smaller</button>
        {keys}
      </div>
      <div class={`zoom zoom-${size}`} ref={frame} {...scrolls}>{children}</div>
    </>
  );
}
