// What the lead takes out of the office: the record book, and the numbers for
// other programs. Both come from the office, so they need it.
import { useState } from 'preact/hooks';
import type { JobView } from '../core/types';
import { download, downloadPicture, numberFiles } from '../app/core';
import { say } from '../app/state';
import { Problem, Section } from '../widgets/basics';

export function TakeOut({ job }: { job: JobView }) {
  const [names, setNames] = useState(true);
  const [files, setFiles] = useState<readonly string[] | undefined>();
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<string | undefined>();
  const attempt = async (work: () => Promise<void>) => {
    setBusy(true);
    setError(undefined);
    try {
      await work();
    } catch (e) {
      setError((e as Error).message);
    }
    setBusy(false);
  };
  const told = { names: names ? '' : 'no' };
  const take = (path: string, ask: Readonly<Record<string, string>> = {}) => void attempt(async () => say(`${await download(path, { ...ask, ...told })} is in the downloads.`));
  const picture = (file: string) => void attempt(async () => say(`${await downloadPicture(`numbers/${file}`, told)} is in the downloads.`));
  return (
    <Section title="Record book and numbers">
      <p>The record book is one file to print or to keep: everything measured, worked out and decided, with the photos. It opens in any browser, with no network.</p>
      <label class="choice"><input type="checkbox" checked={names} onChange={(e) => setNames(e.currentTarget.checked)} /> with people's names</label>
      <WhichBook job={job} busy={busy} take={(ask) => take('book', ask)} />
      <p class="actions">
        <button type="button" disabled={busy} onClick={() => take('calendar')}>What is due, for a calendar</button>
        {files === undefined && <button type="button" disabled={busy} onClick={() => void attempt(async () => setFiles(await numberFiles()))}>Numbers for other programs</button>}
      </p>
      {busy && <p role="status">The office is putting it together.</p>}
      {files !== undefined && (
        <ul class="plain-list">
          {files.map((f) => (
            <li key={f} class="take-file">
              <button type="button" disabled={busy} onClick={() => take(`numbers/${f}`)}>{f}</button>
              {f.endsWith('.svg') && <button type="button" disabled={busy} aria-label={`${f} as a PNG picture`} onClick={() => picture(f)}>PNG</button>}
            </li>
          ))}
        </ul>
      )}
      <Problem error={error} />
    </Section>
  );
}

/** What the office is asked for: the whole job or one engine, now or on an evening, on which paper, as a page or as a print. */
function WhichBook({ job, busy, take }: { job: JobView; busy: boolean; take: (ask: Readonly<Record<string, string>>) => void }) {
  const [ask, setAsk] = useState({ asm: '', until: '', paper: 'a4', as: 'html' });
  const change = (name: keyof typeof ask) => (e: { currentTarget: { value: string } }) => setAsk({ ...ask, [name]: e.currentTarget.value });
  return (
    <form aria-label="Which record book" onSubmit={(e) => { e.preventDefault(); take(ask); }}>
      <div class="pick which">
        <label>Book of<select value={ask.asm} onChange={change('asm')}>
          <option value="">the whole job</option>
          {job.engines.map((e) => <option key={e.asm} value={e.asm}>{`only ${e.asm} ${e.name}, ${e.where}`}</option>)}
        </select></label>
        <label>As it stood on the evening of<input type="date" value={ask.until} onInput={change('until')} /></label>
        <label>Paper<select value={ask.paper} onChange={change('paper')}><option value="a4">A4</option><option value="letter">Letter</option></select></label>
        <label>As a file<select value={ask.as} onChange={change('as')}><option value="html">HTML, for any browser</option><option value="pdf">PDF, printed by the office</option></select></label>
      </div>
      <p class="fine">With no day it is the job as it stands now. With one, what was written later is left out.</p>
      <p class="actions"><button type="submit" disabled={busy}>Record book</button></p>
    </form>
  );
}
