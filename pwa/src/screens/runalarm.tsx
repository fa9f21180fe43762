// The alarm: the word, the shape, the drill, on the screen where the log is.
import { useEffect, useState } from 'preact/hooks';
import type { Drill, RunView } from '../core/types';
import { ring, tick } from '../app/holding';
import { EngineName, Problem } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

interface Standing { key: string; asm: string; title: string; says: string; drill: Drill; late: boolean }

type LogOf = (asm: string, what: Record<string, unknown>, words: string, finished?: string[]) => Promise<void>;

/** What stands against going on: what was typed breaks a limit, or what should have been typed by now was not. */
function standing(v: RunView, now: number): Standing[] {
  return v.sides.flatMap((s) => [
    ...s.alarms.map((a) => ({ key: a.id ?? a.title, asm: s.engine.asm, title: a.title, says: a.says, drill: a.drill, late: false })),
    ...s.deadlines.filter((d) => now >= d.at_s).map((d) => ({ key: `${s.engine.asm} ${d.title}`, asm: s.engine.asm, title: d.title, says: d.says, drill: d.drill, late: true })),
  ]);
}

/** How often an alarm sounds, in seconds, until it is silenced or ended. */
const every = 3;

export function Alarms({ v, now, log }: { v: RunView; now: number; log: LogOf }) {
  const all = standing(v, now);
  const keys = all.map((a) => a.key).join('|');
  const [silent, setSilent] = useState('');
  const loud = keys !== '' && silent !== keys;
  const beat = Math.floor(tick.value / every);
  useEffect(() => {
    if (loud) ring();
  }, [loud, beat]);
  if (all.length === 0) return null;
  const word = all.find((a) => a.drill.word === 'STOP')?.drill.word ?? all[0]?.drill.word; // what stops comes first
  return (
    <section class="alarm-box" role="alert" aria-label="Alarm" data-testid="alarm">
      <p class="alarm-word"><span><span aria-hidden="true">{word === 'STOP' ? '■' : '▼'}</span> {word}</span> {loud && <button type="button" onClick={() => setSilent(keys)}>Silence</button>}</p>
      {all.map((a) => <One key={a.key} a={a} v={v} log={log} />)}
    </section>
  );
}

function One({ a, v, log }: { a: Standing; v: RunView; log: LogOf }) {
  const draft = `alarm:${v.id}/${a.key}`;
  const [why, setWhy, whyKept] = useDraft(draft, '');
  const [error, setError] = useState<string | undefined>();
  const engine = v.sides.find((s) => s.engine.asm === a.asm)?.engine;
  const put = async (what: Record<string, unknown>, words: string, finished: string[] = []) => {
    try {
      await log(a.asm, what, words, finished);
      return true;
    } catch (e) {
      setError((e as Error).message);
      return false;
    }
  };
  const goOn = async () => {
    if (why.trim() === '') return setError('Say why it goes on; it stays in the log.');
    if (await put({ does: 'event', event: 'going on', words: why.trim() }, 'Going on', [draft])) whyKept();
  };
  return (
    <div class="alarm-one">
      {v.sides.length > 1 && engine !== undefined && <EngineName e={engine} />}
      <p class="alarm-title">{a.title}</p>
      <p>{a.says}</p>
      <ol>{a.drill.steps.map((s) => <li key={s}>{s}</li>)}</ol>
      <button type="button" class="keep stop" onClick={() => void put({ does: 'stop', why: `alarm: ${a.title}` }, 'Stop')}>■ {a.asm} has stopped</button>
      <p>{a.drill.after}</p>
      {!a.late && (
        <details>
          <summary>It goes on all the same</summary>
          <label>Why<input value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></label>
          <button type="button" onClick={() => void goOn()}>Keep it in the log</button>
        </details>
      )}
      <Problem error={error} />
    </div>
  );
}

/** Always in sight: what to do first. */
export function DrillLine({ v }: { v: RunView }) {
  return <p class="drill-line"><b>■ Stop:</b> {v.drill_line}</p>;
}
