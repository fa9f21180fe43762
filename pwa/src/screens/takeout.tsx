// What the lead takes out of the office: the record book, and the numbers for
// other programs. Both come from the office, so they need it.
import { useState } from 'preact/hooks';
import { download, downloadPicture, numberFiles } from '../app/core';
import { say } from '../app/state';
import { Problem, Section } from '../widgets/basics';

export function TakeOut() {
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
  const take = (path: string, name: string) => void attempt(async () => {
    await download(path, name, names);
    say(`${name} is in the downloads.`);
  });
  const picture = (file: string) => void attempt(async () => {
    const name = file.replace(/svg$/, 'png');
    await downloadPicture(`numbers/${file}`, name, names);
    say(`${name} is in the downloads.`);
  });
  return (
    <Section title="Record book and numbers">
      <p>The record book is one file to print or to keep: everything measured, worked out and decided, with the photos. It opens in any browser, with no network.</p>
      <label class="choice"><input type="checkbox" checked={names} onChange={(e) => setNames(e.currentTarget.checked)} /> with people's names</label>
      <p class="actions">
        <button type="button" disabled={busy} onClick={() => take('book', 'record-book.html')}>Record book</button>
        <button type="button" disabled={busy} onClick={() => take('calendar', 'due.ics')}>What is due, for a calendar</button>
        {files === undefined && <button type="button" disabled={busy} onClick={() => void attempt(async () => setFiles(await numberFiles()))}>Numbers for other programs</button>}
      </p>
      {busy && <p role="status">The office is putting it together.</p>}
      {files !== undefined && (
        <ul class="plain-list">
          {files.map((f) => (
            <li key={f} class="take-file">
              <button type="button" disabled={busy} onClick={() => take(`numbers/${f}`, f)}>{f}</button>
              {f.endsWith('.svg') && <button type="button" disabled={busy} aria-label={`${f} as a PNG picture`} onClick={() => picture(f)}>PNG</button>}
            </li>
          ))}
        </ul>
      )}
      <Problem error={error} />
    </Section>
  );
}
