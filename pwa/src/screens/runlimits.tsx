// What a run is watched by: set by the lead before it, never during it.
import { useState } from 'preact/hooks';
import type { RunLimit } from '../core/types';
import { keep, status } from '../app/core';
import { say } from '../app/state';
import { Problem } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

const figure = (t: string) => t.replace(',', '.').replace(/[^0-9.]/g, '');
const pressures = ['bar', 'psi', 'kPa'];

export function RunLimits({ limits, type }: { limits: RunLimit[]; type: string }) {
  const set = limits.filter((l) => l.accepted === true);
  return (
    <details class="run-limits">
      <summary>{set.length === 0 ? 'No limits are set: the phone will not raise an alarm' : `Watched by ${set.length} limits`}</summary>
      <ul class="plain-list">
        {limits.map((l) => <li key={l.name}>{l.words}: {l.says === undefined ? <b>not set</b> : <b class="figure">{l.says}</b>}{l.accepted === false && ' (not accepted by the lead yet: it judges nothing)'}</li>)}
      </ul>
      <p class="fine">The others are set under Job, Limits.</p>
      <Station type={type} limits={limits} />
    </details>
  );
}

/** The least oil pressure at one speed: what every engine needs first. */
function Station({ type, limits }: { type: string; limits: RunLimit[] }) {
  const draft = `station:${type}`;
  const [d, setD, dKept] = useDraft(draft, { at: '', min: '', unit: 'bar', words: '' });
  const { at, min, unit, words } = d;
  const [error, setError] = useState<string | undefined>();
  const set = async () => {
    if (at === '' || min === '' || words.trim() === '') return setError('Say the speed, the least pressure, and who says so.');
    try {
      const was = limits.find((l) => l.name === `oilpressure.min.${at}`)?.id;
      const accepted = status.value.role === 'lead' ? { accepted: status.value.person } : {};
      await keep({ kind: 'limit', body: { limit: `oilpressure.min.${at}`, pattern: type, min: { t: min, u: unit }, judged: 'read', words: words.trim(), ...accepted }, ...(was === undefined ? {} : { over: [was] }) }, [draft]);
      dKept({ ...d, at: '', min: '' }); // the next speed is of the same page
      setError(undefined);
      say('Limit saved on this phone.');
    } catch (e) {
      setError((e as Error).message);
    }
  };
  return (
    <fieldset>
      <legend>Least oil pressure at a speed</legend>
      <label>Speed, rpm<input class="figure" inputMode="numeric" value={at} onInput={(e) => setD({ ...d, at: e.currentTarget.value.replace(/[^0-9]/g, '') })} /></label>
      <label>At least<input class="figure" inputMode="decimal" value={min} onInput={(e) => setD({ ...d, min: figure(e.currentTarget.value) })} /></label>
      <label>In<select value={unit} onChange={(e) => setD({ ...d, unit: e.currentTarget.value })}>{pressures.map((p) => <option key={p} value={p}>{p}</option>)}</select></label>
      <label>Who says so, word for word<input value={words} onInput={(e) => setD({ ...d, words: e.currentTarget.value })} /></label>
      <Problem error={error} />
      <button type="button" onClick={() => void set()}>{status.value.role === 'lead' ? 'Set it' : 'Propose it to the lead'}</button>
    </fieldset>
  );
}
