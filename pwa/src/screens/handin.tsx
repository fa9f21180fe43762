// When a phone has no way to the office: what is only on it is saved as a file,
// and a lead takes such a file in at a desk.
import { useEffect, useRef, useState } from 'preact/hooks';
import { exchange, saveUnsent, status, takeInFile, unsentPhoto, type TakenIn } from '../app/core';
import { Problem, Section } from '../widgets/basics';
import { titled } from './jobs';

/** Hands the browser files to save. Their addresses live as long as the screen: some browsers fetch them late. */
function useDownload(): (name: string, data: BlobPart, type: string) => void {
  const urls = useRef<string[]>([]);
  useEffect(() => () => urls.current.forEach((u) => URL.revokeObjectURL(u)), []);
  return (name, data, type) => {
    const a = document.createElement('a');
    a.href = URL.createObjectURL(new Blob([data], { type }));
    urls.current.push(a.href);
    a.download = name;
    a.click();
  };
}

const some = (n: number, one: string, many: string) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

/** Only there while something waits. */
export function SaveUnsent() {
  const { job, jobs, unsentPhotos } = status.value;
  const waiting = jobs.filter((j) => j.unsent > 0);
  const download = useDownload();
  const [says, setSays] = useState('');
  const [next, setNext] = useState(0);
  const [error, setError] = useState<string | undefined>();
  if (waiting.length + unsentPhotos === 0) return null;
  const attempt = (work: () => Promise<void>) => void work().then(() => setError(undefined), (e: Error) => setError(e.message));
  const entries = async (of: string) => {
    const made = await saveUnsent(of);
    download(made.file, made.text, 'application/x-ndjson');
    setSays(`${some(made.count, 'entry', 'entries')} saved as ${made.file}.`);
  };
  const photo = async () => {
    const p = await unsentPhoto(next);
    if (p === undefined) return setNext(0);
    download(p.file, p.bytes, p.type);
    setSays(`Photo ${next + 1} of ${p.of} saved as ${p.file}.`);
    setNext(next + 1 < p.of ? next + 1 : 0);
  };
  return (
    <details class="hand-in">
      <summary>No way to the office?</summary>
      <p>Save what is unsent as a file and bring it to the lead, by cable, card or post. It stays on this phone, and is handed in by itself when the office can be reached; nothing counts twice.</p>
      <p class="actions">
        {waiting.map((j) => <button key={j.job} type="button" onClick={() => attempt(() => entries(j.job))}>{j.job === job ? 'Save what is unsent as a file' : `Save what is unsent of ${titled(j.title)} as a file`}</button>)}
        {unsentPhotos > 0 && <button type="button" onClick={() => attempt(photo)}>Save photo {Math.min(next + 1, unsentPhotos)} of {unsentPhotos}</button>}
      </p>
      <p role="status" data-testid="hand-in-saved">{says}</p>
      <Problem error={error} />
    </details>
  );
}

interface Line { name: string; words: string; problem: boolean }

/** At the desk: files that phones saved, and their photos. */
export function TakeIn() {
  const [lines, setLines] = useState<Line[]>([]);
  const take = async (input: HTMLInputElement) => {
    const files = [...(input.files ?? [])];
    setLines([]);
    for (const f of files) {
      const line = await takeInFile(await f.arrayBuffer()).then(
        (got) => ({ name: f.name, words: words(got), problem: got !== undefined && got.bad.length > 0 }),
        (e: Error) => ({ name: f.name, words: e.message, problem: true }),
      );
      setLines((all) => [...all, line]);
    }
    input.value = '';
    await exchange();
  };
  return (
    <Section title="A file from a phone">
      <p>For a phone that cannot reach the office or is no longer paired: take in the file that it saved, and its photos. Whoever takes it in answers for it; the check sum shows that it is whole, not who wrote it.</p>
      <label class="button file">Take in a file from a phone<input type="file" multiple onChange={(e) => void take(e.currentTarget)} /></label>
      <div role="status" data-testid="taken-in">
        <ul class="plain-list">{lines.map((l, i) => <li key={i} class={l.problem ? 'problem' : undefined}><b>{l.name}</b>: {l.words}</li>)}</ul>
      </div>
    </Section>
  );
}

/** What came of a file, in words; nothing is said of a photo but that it is here. */
function words(got: TakenIn | undefined): string {
  if (got === undefined) return 'a photo, taken in.';
  const out = [`${some(got.stored, 'new entry', 'new entries')}, ${got.held} here already.`];
  out.push(got.phone === '' ? 'It is of a phone that is not paired here.' : `It says it is of ${got.phone}.`);
  if (got.revoked !== '') out.push(`That phone was revoked on ${got.revoked.slice(0, 10)}: look at what it brought.`);
  if (got.bad.length > 0) out.push(`${some(got.bad.length, 'line', 'lines')} could not be read: ${got.bad[0]?.why ?? ''}.`);
  return out.join(' ');
}
