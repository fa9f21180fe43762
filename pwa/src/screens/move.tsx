// A move of engines: one entry, after the moves that it ends.
import { useState } from 'preact/hooks';
import type { Engine } from '../core/types';
import { keep } from '../app/core';
import { say, today } from '../app/state';
import { Problem } from '../widgets/basics';

export function Move({ engines }: { engines: Engine[] }) {
  const [to, setTo] = useState<Record<string, string>>({});
  const [error, setError] = useState<string | undefined>();
  const submit = async (e: Event) => {
    e.preventDefault();
    const moved = engines.filter((x) => (to[x.asm] ?? '').trim() !== '');
    const moves = moved.map((x) => {
      const where = (to[x.asm] ?? '').trim();
      return where === 'left' || where === 'right' ? { asm: x.asm, side: where } : { asm: x.asm, place: where };
    });
    const after = [...new Set(moved.map((x) => x.fitting).filter((f) => f !== undefined))];
    try {
      if (moves.length === 0) throw new Error('Say where one of the engines now is.');
      await keep({ kind: 'fitting', body: { moves, day: today() }, after });
      setTo({});
      setError(undefined);
      say('Move saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
  };
  return (
    <details>
      <summary>Move an engine</summary>
      <form onSubmit={(e) => void submit(e)}>
        {engines.map((x) => (
          <label key={x.asm}>{x.asm} is now<input list="places" value={to[x.asm] ?? ''} onInput={(e) => setTo({ ...to, [x.asm]: e.currentTarget.value })} placeholder={x.where} /></label>
        ))}
        <datalist id="places"><option value="left" /><option value="right" /><option value="stand 1" /><option value="stand 2" /></datalist>
        <Problem error={error} />
        <button type="submit">Keep the move</button>
      </form>
    </details>
  );
}
