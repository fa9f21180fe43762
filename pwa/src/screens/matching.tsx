// Matching the pair, uncoupled: rounds of speeds at stations, with screws moved
// between them. What a round comes to is the record's; nothing couples the two.
import { signal } from '@preact/signals';
import { useState } from 'preact/hooks';
import type { Matching, MatchRound, RunSide, RunView } from '../core/types';
import { keep, loadDraft, putDraft } from '../app/core';
import { href, say } from '../app/state';
import { Caution, Problem, ResultLine, Section } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

interface Taking { run: string; round: number; swapped: boolean; tool: string }

/** How the next speeds are taken: a round begun here before any of its readings, and with which tachometer. */
const taking = signal<Taking>({ run: '', round: 0, swapped: false, tool: '' });

/** It outlives a reload (T3): a speed must not fall into the round before. */
void loadDraft<Taking>('matching').then((old) => {
  if (old !== undefined && taking.value.run === '') taking.value = old;
});

const now = (v: RunView) => (taking.value.run === v.id ? taking.value : { run: v.id, round: 0, swapped: false, tool: '' });

/** The round that is open: the record's, or a later one that was begun on this phone. */
const openRound = (v: RunView) => Math.max(v.matching?.round ?? 1, now(v).round);

/** What a speed at a station says of the matching that it belongs to. */
export function roundOf(v: RunView, side: RunSide, what: string): Record<string, unknown> {
  if (v.matching === undefined || what !== 'speed' || side.station === undefined) return {};
  const { swapped, tool } = now(v);
  return { round: openRound(v), ...(swapped ? { swapped: true } : {}), ...(tool === '' ? {} : { instrument: tool }) };
}

export function MatchingNow({ m, v, side }: { m: Matching; v: RunView; side: RunSide }) {
  const set = (change: Partial<Taking>) => {
    taking.value = { ...now(v), ...change };
    putDraft('matching', taking.value);
  };
  const round = openRound(v);
  return (
    <details class="matching">
      <summary>Matching, round {round}</summary>
      <p data-testid="match-state"><b>{m.state}</b></p>
      <p class="fine">Speeds that are typed at a station count for round {round}. The same lever position on both, hot.</p>
      {v.tachometers.length > 0 && (
        <label>Tachometer in this hand
          <select value={now(v).tool} onChange={(e) => set({ tool: e.currentTarget.value })}>
            <option value="">not named</option>
            {v.tachometers.map((t) => <option key={t.key} value={t.key}>{t.key}, {t.what}</option>)}
          </select>
        </label>
      )}
      <label class="choice"><input type="checkbox" checked={now(v).swapped} onChange={(e) => set({ swapped: e.currentTarget.checked })} /> The tachometers are changed over</label>
      {m.last >= round && <button type="button" class="wide" data-testid="next-round" onClick={() => set({ round: round + 1, swapped: false })}>Begin round {round + 1}, nothing moved</button>}
      {m.last > 0 && <Move m={m} v={v} side={side} />}
      <Rounds m={m} v={v} />
    </details>
  );
}

const parts = ['0.25', '0.5', '0.75', '1'];
const partWords: Record<string, string> = { '0.25': '¼', '0.5': '½', '0.75': '¾', '1': '1' };

/** One screw of one engine; how far is kept, so that the way back is known. */
function Move({ m, v, side }: { m: Matching; v: RunView; side: RunSide }) {
  const draft = `moved:${v.id}/${side.engine.asm}/${m.last}`;
  const [d, setD, dKept] = useDraft(draft, { what: m.screws[0] ?? '', way: '', far: '' });
  const { what, way, far } = d;
  const [error, setError] = useState<string | undefined>();
  const whose = `${side.engine.name} (${side.engine.asm})`;
  const done = async () => {
    if (way === '' || far === '') return setError('Say which way, and how far.');
    try {
      await keep({ kind: 'adjust', body: { of: side.of, what, way, turned: { t: far, u: '1' }, run: v.id, round: m.last } }, [draft]);
      dKept();
      setError(undefined);
      say('Saved on this phone. A new round begins.');
    } catch (e) {
      setError((e as Error).message);
    }
  };
  return (
    <fieldset>
      <legend>Something was moved on {whose}</legend>
      <label>What<select value={what} onChange={(e) => setD({ ...d, what: e.currentTarget.value })}>{m.screws.map((s) => <option key={s} value={s}>{s}</option>)}</select></label>
      <p class="turns" role="group" aria-label="Which way">{['in', 'out'].map((w) => <button key={w} type="button" aria-pressed={way === w} onClick={() => setD({ ...d, way: w })}>{w}</button>)}</p>
      <p class="turns" role="group" aria-label="How far, in turns">{parts.map((p) => <button key={p} type="button" aria-pressed={far === p} aria-label={`${p} of a turn`} onClick={() => setD({ ...d, far: p })}>{partWords[p]} turn</button>)}</p>
      <label>or, in turns<input class="figure" inputMode="decimal" value={far} onInput={(e) => setD({ ...d, far: e.currentTarget.value.replace(',', '.').replace(/[^0-9.]/g, '') })} /></label>
      <Problem error={error} />
      <button type="button" class="keep" data-testid="moved" onClick={() => void done()}>Moved: {whose}, {what} {way} {far === '' ? '' : `${partWords[far] ?? far} turn`}</button>
      <Caution texts={[m.caution]} />
    </fieldset>
  );
}

/** Every round, the newest first, and how far each screw is from where it began. */
export function Rounds({ m, v }: { m: Matching; v: RunView }) {
  const shown = m.rounds.filter((r) => r.rows.length > 0 || r.moved.length > 0);
  if (shown.length === 0) return null;
  return (
    <Section title="Rounds of the matching">
      <p><b>{m.state}</b></p>
      {m.totals.length > 0 && <ul class="plain-list">{m.totals.map((t) => <li key={t}>{t}</li>)}</ul>}
      {shown.map((r) => <Round key={r.n} r={r} v={v} />)}
    </Section>
  );
}

function Round({ r, v }: { r: MatchRound; v: RunView }) {
  const [left, right] = v.sides.map((s) => s.engine.asm);
  return (
    <>
      <h3>Round {r.n}</h3>
      <table class="match-table">
        <thead><tr><th scope="col">lever at</th><th scope="col">{left}</th><th scope="col">{right}</th><th scope="col">difference</th></tr></thead>
        <tbody>
          {r.rows.map((x) => (
            <tr key={x.station}>
              <th scope="row">{x.station}</th>
              <td class="figure">{x.left ?? '·'}{x.left_swapped !== undefined && <small> changed over {x.left_swapped}</small>}</td>
              <td class="figure">{x.right ?? '·'}{x.right_swapped !== undefined && <small> changed over {x.right_swapped}</small>}</td>
              <td class="figure">{x.difference ?? '·'}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {r.result !== undefined && <ul class="lines"><ResultLine l={r.result} /></ul>}
      {r.moved.map((x) => <p key={x.id}>Then moved: <a href={href('entry', { id: x.id })}>{x.words}</a>, {x.by}</p>)}
      {r.next.length > 0 && r.moved.length === 0 && <ul class="plain-list">{r.next.map((t) => <li key={t}><b>Next:</b> {t}. One engine at a time.</li>)}</ul>}
      {r.measured.map((t) => <p key={t} class="fine">{t}</p>)}
    </>
  );
}
