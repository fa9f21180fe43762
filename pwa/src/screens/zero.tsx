// Instruments and their zero checks.
import { useState } from 'preact/hooks';
import type { JobView } from '../core/types';
import { keep } from '../app/core';
import { say } from '../app/state';
import { Problem, Section, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';

export function ZeroCheck({ job }: { job: JobView }) {
  const draft = 'zero';
  const [d, setD, dKept] = useDraft(draft, { tool: '', bar: '', read: '' });
  const { tool, bar, read } = d;
  const [error, setError] = useState<string | undefined>();
  const unit = job.instruments.find((i) => i.key === tool)?.res.u ?? 'mm';
  const submit = async (e: Event) => {
    e.preventDefault();
    try {
      await keep({ kind: 'zero', body: { instrument: tool, bar: { t: bar, u: unit }, read: { t: read, u: unit } } }, [draft]);
      dKept({ ...d, read: '' }); // the next one is often of the same tool on the same bar
      setError(undefined);
      say('Zero check saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
  };
  return (
    <Section title="Instruments">
      <ul class="plain-list">
        {job.instruments.map((i) => (
          <li key={i.key}><b class="figure">{i.key}</b> {i.what} <span class="fine">{i.zero === undefined ? 'zero not checked' : `${i.zero.text}, ${when(i.zero.at)}`}</span></li>
        ))}
      </ul>
      <details>
        <summary>Check a zero</summary>
        <form onSubmit={(e) => void submit(e)}>
          <label>Instrument<select value={tool} onChange={(e) => setD({ ...d, tool: e.currentTarget.value })} required><option value="">choose</option>{job.instruments.map((i) => <option key={i.key} value={i.key}>{i.key}</option>)}</select></label>
          <label>Bar, {unit}<input class="figure" inputMode="decimal" value={bar} onInput={(e) => setD({ ...d, bar: e.currentTarget.value })} required /></label>
          <label>It read, {unit}<input class="figure" inputMode="decimal" value={read} onInput={(e) => setD({ ...d, read: e.currentTarget.value })} required /></label>
          <Problem error={error} />
          <button type="submit">Keep the zero check</button>
        </form>
      </details>
    </Section>
  );
}
