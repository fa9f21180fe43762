// The switch 'From the gauge', and on the pad the field that takes what the gauge
// sends while the point is armed.
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { arm, armed, gaugeSays, seen, struck } from '../app/gauge';
import { sit, sitting } from '../app/state';

export function GaugeSwitch({ pad }: { pad: string }) {
  const on = armed.value === pad;
  // Leaving the point disarms it, before the next one is seen: a value must never land where nobody looks.
  useLayoutEffect(() => () => {
    if (armed.value === pad) armed.value = '';
  }, [pad]);
  return (
    <button type="button" class="gauge-switch" aria-pressed={on} onClick={() => arm(on ? '' : pad)}>
      From the gauge{on ? ': armed' : ''}
    </button>
  );
}

/** What stands on the pad while its point is armed. */
export function GaugeRow({ pad }: { pad: string }) {
  if (armed.value !== pad) return null;
  return (
    <div class="gauge">
      <GaugeField pad={pad} />
      <label class="choice">
        <input type="checkbox" checked={sitting.value.each} onChange={(e) => sit({ each: e.currentTarget.checked })} /> keep each one and go on
      </label>
      <button type="button" class="gauge-off" onClick={() => arm('')}>Off</button>
    </div>
  );
}

/** Keys reach a page only where something has the focus: this field has it while the gauge is used. */
function GaugeField({ pad }: { pad: string }) {
  const box = useRef<HTMLInputElement>(null);
  const [ready, setReady] = useState(false);
  useEffect(() => box.current?.focus({ preventScroll: true }), [pad, sitting.value.each]);
  // Keys were heard before they got here; what they would write is of no use.
  const typed = (e: KeyboardEvent) => e.key.length === 1 && e.preventDefault();
  // A gauge that comes as a keyboard of the phone's own writes text without keys.
  const written = (e: InputEvent) => {
    e.preventDefault();
    for (const c of e.data ?? '') struck(c === '\n' ? 'Enter' : c, e.timeStamp, null);
  };
  return (
    <label class="gauge-field">
      {ready ? "Ready: press the gauge's button" : 'Touch here, then press the gauge\'s button'}
      <input ref={box} type="text" inputMode="none" autocomplete="off" value="" onKeyDown={typed} onBeforeInput={written} onFocus={() => setReady(true)} onBlur={() => setReady(false)} />
    </label>
  );
}

/** What a gauge did last: shown, and read out, on whatever screen is open. */
export function GaugeSays() {
  const { words, refused } = gaugeSays.value;
  return (
    <div class={words === '' ? '' : `notice gauge-says ${refused ? 'warn' : ''}`}>
      <p role="status" aria-live="assertive" data-testid="gauge-says">{words}</p>
      {refused && <button type="button" onClick={seen}>Seen</button>}
    </div>
  );
}
