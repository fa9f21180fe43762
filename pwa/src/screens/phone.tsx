// What this phone says about itself: what only it has, what the office has,
// whether its store is safe, its clock, its pairing, its version. All in words.
import { useEffect, useState } from 'preact/hooks';
import type { JobView } from '../core/types';
import { build, exchange, newVersion, pair, persisted, setPerson, status, takeNewVersion, unsent, unsentElsewhere, openAgain } from '../app/core';
import { href, sit, sitting } from '../app/state';
import { hereInAppleTab } from '../app/where';
import { clockWords } from '../widgets/clock';
import { Problem, Section } from '../widgets/basics';
import { InstallSteps, localTime } from './doors';
import { SaveUnsent } from './handin';
import { Jobs } from './jobs';
import { RemovePhone } from './wipe';

export function PhoneScreen({ job }: { job: JobView }) {
  return (
    <>
      <h1>This phone</h1>
      <div class="columns">
        <div class="column">
          <Pairing />
          <Waiting />
          <Jobs />
          {hereInAppleTab() && <InTab />}
        </div>
        <div class="column">
          <Facts job={job} />
          <Choices job={job} />
          <RemovePhone />
        </div>
      </div>
    </>
  );
}

function Waiting() {
  const s = status.value;
  return (
    <Section title="Only on this phone">
      <p data-testid="exchange-says"><b>{waitingWords(s.unsent + unsentElsewhere(), s.unsentPhotos)}</b> {s.says}</p>
      <button type="button" class="wide primary" disabled={s.busy} onClick={() => void exchange()}>Hand in and fetch</button>
      {s.unsent > 0 && <Unsent n={s.unsent} />}
      <SaveUnsent />
    </Section>
  );
}

function waitingWords(entries: number, photos: number): string {
  const parts = [[entries, 'entry', 'entries'] as const, [photos, 'photo', 'photos'] as const].filter(([n]) => n > 0).map(([n, one, many]) => `${n} ${n === 1 ? one : many}`);
  return parts.length === 0 ? 'Nothing is only on this phone.' : `Only on this phone: ${parts.join(' and ')}.`;
}

/** What only this phone has, entry by entry. */
function Unsent({ n }: { n: number }) {
  const [list, setList] = useState<{ id: string; words: string }[]>([]);
  useEffect(() => void unsent().then(setList), [n]);
  return (
    <details>
      <summary>What is only on this phone ({n})</summary>
      <ul class="plain-list">{list.map((e) => <li key={e.id}><a class="button link" href={href('entry', { id: e.id })}>{e.words}</a></li>)}</ul>
      {n > list.length && list.length > 0 && <p class="fine">and {n - list.length} more</p>}
    </details>
  );
}

/** The office says no: why, and what to do. */
function Pairing() {
  const s = status.value;
  if (!s.ended && s.exchange !== 'refused') return null;
  return (
    <Section title="The office refuses this phone">
      <p>{s.ended ? 'Its pairing has ended: the lead ended it, or this browser has lost its key. Nothing on it is lost. Ask the lead for a code and pair it again; what waits here is then handed in.' : 'All is still on this phone. Ask the lead what it may do.'}</p>
      {(!hereInAppleTab() || s.unsent + unsentElsewhere() > 0) && <PairAgain />}
    </Section>
  );
}

export function PairAgain() {
  const [code, setCode] = useState('');
  const [error, setError] = useState<string | undefined>();
  const submit = async (e: Event) => {
    e.preventDefault();
    try {
      await pair(code.trim().toUpperCase(), status.value.device, status.value.workshop);
      setError(undefined);
    } catch (x) {
      setError((x as Error).message);
    }
  };
  return (
    <form onSubmit={(e) => void submit(e)}>
      <label>To pair it again, the lead's code<input class="figure" value={code} onInput={(e) => setCode(e.currentTarget.value)} autocomplete="off" autocapitalize="characters" required /></label>
      <Problem error={error} />
      <button type="submit">Pair again</button>
    </form>
  );
}

function InTab() {
  return (
    <Section title="You are in the browser's tab">
      <p>What is saved in this tab is not in the app on the Home Screen. Hand in what is here, then go on there.</p>
      <InstallSteps />
    </Section>
  );
}

const roles: Record<string, string> = { lead: 'the lead: may do everything', fitter: 'a fitter: measures and hands in', viewer: 'a viewer: looks on' };

function Facts({ job }: { job: JobView }) {
  const s = status.value;
  return (
    <Section title="How things stand">
      <dl class="facts">
        <div><dt>Job</dt><dd>{job.title}</dd></div>
        <div><dt>This phone</dt><dd>{s.device}, {s.workshop ? "the workshop's, from hand to hand" : "one person's own"}</dd></div>
        <div><dt>Paired as</dt><dd>{s.ended ? 'no longer paired' : (roles[s.role] ?? s.role)}</dd></div>
        <div><dt>Office</dt><dd>{officeWords()}</dd></div>
        <div><dt>Here</dt><dd><span class="figure">{s.entries}</span> entries of this job</dd></div>
        <div><dt>Store</dt><dd>{persisted.value ? 'The browser has promised to keep it.' : <b>The browser has not promised to keep it: hand in soon, and put the app on the home screen.</b>}</dd></div>
        <div><dt>Clock</dt><dd>{clockWords(s.office?.offset)}</dd></div>
        <div><dt>App</dt><dd><Version /></dd></div>
      </dl>
    </Section>
  );
}

function officeWords(): string {
  const { last, office } = status.value;
  if (last === '') return 'Never handed in or fetched.';
  return `Last handed in and fetched ${localTime(last)}.${office === undefined ? '' : ` It then had ${office.count} entries of this job.`}`;
}

function Version() {
  return (
    <>
      {`version ${build}, calculations ${status.value.core}. `}
      {newVersion.value ? <><b>A newer one waits.</b> <button type="button" onClick={takeNewVersion}>Take it now</button></> : 'No newer one waits.'}
      {' '}<button type="button" onClick={() => void openAgain()}>Open the app again</button>
    </>
  );
}

function Choices({ job }: { job: JobView }) {
  const s = status.value;
  return (
    <Section title="Set here">
      <label>
        In the hands of
        <select value={s.person} onChange={(e) => void setPerson(e.currentTarget.value)}>
          {job.people.map((p) => <option key={p.key} value={p.key}>{p.name}</option>)}
        </select>
      </label>
      <label>
        Light
        <select value={sitting.value.theme} onChange={(e) => sit({ theme: e.currentTarget.value as '' | 'day' | 'pit' })}>
          <option value="">as the phone is set</option><option value="day">day</option><option value="pit">pit (dark)</option>
        </select>
      </label>
    </Section>
  );
}
