// A job to copy: the set-up of one job as a file, and a new job begun with it.
import { useState } from 'preact/hooks';
import { keep, setPerson, startJob, status, view } from '../app/core';
import { saveFile } from '../app/file';
import { go, say } from '../app/state';
import { Problem } from '../widgets/basics';

interface Carried { kind: string; body: Record<string, unknown>; words?: string; there?: boolean }
interface Carries { title: string; entries: Carried[] }

/** More than any group's set-up, type sheets and all. */
const most = 4_000_000;

export function SaveSetUp() {
  const [error, setError] = useState<string | undefined>();
  const save = () => void view<Carries>('setup').then((v) => {
    saveFile('set-up.json', JSON.stringify(v, undefined, 1), 'application/json');
    say('set-up.json is in the downloads. A new job takes it in under Step by step.');
  }).catch((e: Error) => setError(e.message));
  return (
    <>
      <p class="fine">Another job can begin with the people, engine types, instruments, limits and plan of this one.</p>
      <p class="actions"><button type="button" onClick={save}>Save this set-up for another job</button></p>
      <Problem error={error} />
      {status.value.role === 'lead' && <AnotherJob />}
    </>
  );
}

/** Begins a job beside this one, on the same office. Which of them is open is chosen under How this phone stands. */
function AnotherJob() {
  const [title, setTitle] = useState('');
  const [vehicle, setVehicle] = useState('');
  const begin = () => void startJob(title, vehicle).then(() => go('first'));
  return (
    <details>
      <summary>Begin another job</summary>
      <p class="fine">This job stays as it is. This phone works in the new one from then on; How this phone stands changes from one to the other. Every other phone learns of it when it next hands in or fetches, and asks there whether to take it; a newly paired one asks which job.</p>
      <form onSubmit={(e) => (e.preventDefault(), begin())}>
        <label>Title of the new job<input value={title} onInput={(e) => setTitle(e.currentTarget.value)} required /></label>
        <label>Its vehicle<input value={vehicle} onInput={(e) => setVehicle(e.currentTarget.value)} /></label>
        <button type="submit">Begin the new job</button>
      </form>
    </details>
  );
}

export function TakeSetUp() {
  const [v, setV] = useState<Carries | undefined>();
  const [off, setOff] = useState<readonly number[]>([]);
  const [kept, setKept] = useState('');
  const [error, setError] = useState<string | undefined>();
  const read = async (file: File | undefined) => {
    if (file === undefined) return;
    try {
      if (file.size > most) throw new Error('it is too large');
      const got = await view<Carries>('setup', { file: JSON.parse(await file.text()) as object });
      if (got.entries.length === 0) throw new Error('nothing of a set-up is in it');
      setOff(got.entries.flatMap((e, i) => (e.there === true ? [i] : [])));
      setV(got);
      setError(undefined);
    } catch (e) {
      setError(`This file is no set-up of a job: ${(e as Error).message}.`);
    }
  };
  const choose = (input: HTMLInputElement) => {
    void read(input.files?.[0]);
    input.value = ''; // or the same file could not be chosen again
  };
  const take = async (entries: Carried[]) => {
    let n = 0;
    try {
      // An entry needs a hand that wrote it: until somebody says otherwise a lead of the list holds this phone.
      const people = entries.filter((e) => e.kind === 'person');
      const holder = people.find((e) => e.body['role'] === 'lead') ?? people[0];
      if (status.value.person === '' && holder !== undefined) await setPerson(String(holder.body['person']));
      for (const { kind, body } of entries) {
        await keep({ kind, body });
        n++;
      }
      setV(undefined);
      setKept(`${n} entries are kept. Limits judge nothing until you accept them under Job.`);
    } catch (e) {
      setError(`${(e as Error).message} ${n} were kept.`);
    }
  };
  const some = v?.entries.filter((_, i) => !off.includes(i)) ?? [];
  return (
    <details>
      <summary>Is there a job to copy?</summary>
      <p>Its lead saves the set-up under Job, Set up. Taken in here it brings people, engine types, instruments, limits and the plan; the numbering, the engines and what was measured belong to one vehicle and stay there.</p>
      <label class="button file">Take a set-up file<input type="file" accept="application/json,.json" onChange={(e) => choose(e.currentTarget)} /></label>
      <Problem error={error} />
      {v !== undefined && (
        <fieldset>
          <legend>From {v.title}</legend>
          {v.entries.map((e, i) => (
            <label key={i} class="choice"><input type="checkbox" checked={!off.includes(i)} onChange={(x) => setOff(x.currentTarget.checked ? off.filter((k) => k !== i) : [...off, i])} /> {e.words}{e.there === true && <span class="fine"> is here already</span>}</label>
          ))}
          <button type="button" class="wide primary" disabled={some.length === 0} onClick={() => void take(some)}>Take in {some.length}</button>
        </fieldset>
      )}
      {kept !== '' && <p class="notice" role="status" data-testid="setup-kept">{kept}</p>}
    </details>
  );
}
