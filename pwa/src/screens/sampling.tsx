// A gauge that samples by itself and types each figure like a keyboard, ended by Enter. The figures are kept in blocks; until
// a block is full they are a draft of this phone, and the screen says so.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { RunSide, RunView } from '../core/types';
import { keep } from '../app/core';
import { clock } from '../app/holding';
import { doubts } from '../app/holdclock';
import { href, say } from '../app/state';
import { Problem } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

/** A block is kept at so many figures, or when its first one is so old: a phone that dies loses no more. */
const blockRows = 60;
const blockMs = 60_000;

interface Rows { what: string; unit: string; at: number[]; figures: string[] }
const none: Rows = { what: '', unit: '', at: [], figures: [] };

export function Sampling({ v, side }: { v: RunView; side: RunSide }) {
  return (
    <details class="sampling" data-testid="sampling">
      <summary>A gauge that samples by itself</summary>
      <Listening key={side.engine.asm} v={v} side={side} />
      <p class="actions"><a class="button" href={href('run', { asm: side.engine.asm, id: v.id, logger: '1' })}>Take in a logger's file</a></p>
    </details>
  );
}

function Listening({ v, side }: { v: RunView; side: RunSide }) {
  const key = `sampling:${v.id}:${side.engine.asm}`;
  const [rows, setRows] = useDraft<Rows>(key, none);
  const [on, setOn] = useState(false);
  const [error, setError] = useState<string | undefined>();
  const now = useRef(rows); // a gauge may send faster than the screen is drawn
  now.current = rows;
  const busy = useRef(false);
  const put = (r: Rows) => setRows((now.current = r));
  const gauge = v.gauges.find((g) => g.what === rows.what);
  /** Keeps what is there as one block. It is a draft until it is kept; what comes meanwhile is of the next. */
  const keepBlock = async () => {
    const block = now.current;
    const n = block.at.length;
    if (busy.current || n === 0) return;
    busy.current = true;
    try {
      await kept(block);
      put({ ...now.current, at: now.current.at.slice(n), figures: now.current.figures.slice(n) });
      setError(undefined);
    } catch (e) {
      setError(`Not kept yet: ${(e as Error).message}`);
    } finally {
      busy.current = false;
    }
  };
  const kept = async (b: Rows) => {
    const first = b.at[0] ?? 0;
    const doubt = doubts(clock.of(v.id, v.at));
    await keep({ kind: 'run', body: {
      of: side.of, run: v.id, does: 'samples', elapsed: { t: (first / 1000).toFixed(3), u: 's' }, columns: [{ what: b.what, u: b.unit, values: b.figures.join(' ') }],
      times: b.at.map((t) => ((t - first) / 1000).toFixed(3)).join(' '), ...(doubt.length === 0 ? {} : { clock: doubt.join(' ') }),
    } }, [key]);
    say(`${b.at.length} samples saved on this phone.`);
  };
  const sent = (text: string) => {
    const figure = text.trim().replace(/^\+/, '').replace('−', '-').replace(',', '.');
    if (!/^-?\d+(\.\d+)?$/.test(figure)) return setError(`The gauge sent ${text}, which is no figure. It was not taken.`);
    const r = now.current;
    const ms = Math.round(clock.of(v.id, v.at).ms);
    put({ ...r, at: [...r.at, Math.max(ms, (r.at.at(-1) ?? -1) + 1)], figures: [...r.figures, figure] });
    if (r.at.length + 1 >= blockRows || ms - (r.at[0] ?? ms) >= blockMs) void keepBlock();
  };
  return (
    <>
      <p class="fine">A gauge on this phone that types a figure and Enter by itself. Every minute what came is kept.</p>
      <label>Gauge<select value={rows.what} disabled={rows.at.length > 0} onChange={(e) => put({ ...none, what: e.currentTarget.value })}><option value="">choose</option>{v.gauges.map((g) => <option key={g.what} value={g.what}>{g.words}</option>)}</select></label>
      {gauge !== undefined && <label>Its figures are in<select value={rows.unit} disabled={rows.at.length > 0} onChange={(e) => put({ ...rows, unit: e.currentTarget.value })}><option value="">choose</option>{gauge.units.map((u) => <option key={u.code} value={u.code}>{u.symbol}</option>)}</select></label>}
      {gauge !== undefined && rows.unit !== '' && <Box words={gauge.words} listening={setOn} sent={sent} />}
      <p role="status" data-testid="sampling-state">{on ? '● listening' : '■ not listening: tap the box'}</p>
      {rows.at.length > 0 && <p data-testid="sampling-came">{rows.at.length} came, not kept yet, the last {rows.figures.at(-1)}</p>}
      {rows.at.length > 0 && <button type="button" class="wide" data-testid="sampling-keep" onClick={() => void keepBlock()}>Keep these {rows.at.length} now</button>}
      <Problem error={error} />
    </>
  );
}

/** The box that the gauge types into: while it has the keys, it listens. */
function Box({ words, listening, sent }: { words: string; listening: (on: boolean) => void; sent: (text: string) => void }) {
  const [text, setText] = useState('');
  useEffect(() => () => listening(false), []);
  return (
    <label>{words}, as the gauge types it
      <input class="figure" data-takes-gauge="" data-testid="sampling-box" inputMode="none" autocomplete="off" value={text} onFocus={() => listening(true)} onBlur={() => listening(false)}
        onInput={(e) => setText(e.currentTarget.value)}
        onKeyDown={(e) => {
          if (e.key !== 'Enter' && !(e.key === 'Tab' && e.currentTarget.value !== '')) return;
          e.preventDefault();
          const typed = e.currentTarget.value;
          e.currentTarget.value = '';
          setText('');
          if (typed !== '') sent(typed);
        }} />
    </label>
  );
}
