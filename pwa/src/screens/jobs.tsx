// Which job: the one in hand, the others on this phone, and those that only the
// office has. The job in hand changes by a tap here and by nothing else.
import { useState } from 'preact/hooks';
import type { HoldLine, RunLine } from '../core/types';
import { chooseJob, exchange, leaveJob, startJob, status, takeJob } from '../app/core';
import { say } from '../app/state';
import { Problem, Section, useView } from '../widgets/basics';

/** A title that the office has not worked out yet has words too. */
export const titled = (title: string): string => (title === '' ? 'a job whose title has not come yet' : `'${title}'`);

/** The office has a job about which nobody said yet whether it goes onto this phone. */
export const newJobs = () => status.value.offered.filter((o) => !o.left);

export function Jobs() {
  const { job, jobs, offered } = status.value;
  const [error, setError] = useState<string | undefined>();
  const attempt = (work: () => Promise<void>) => void work().then(() => setError(undefined), (e: Error) => setError(e.message));
  if (jobs.length < 2 && offered.length === 0) return null;
  const left = offered.filter((o) => o.left);
  return (
    <Section title="Which job?">
      <p>This phone works in <b>{jobs.find((j) => j.job === job)?.title}</b>, and stays in it until it is changed here.</p>
      {jobs.length > 1 && (
        <label>
          Job
          <select value={job} onChange={(e) => { const to = e.currentTarget.value; attempt(() => chooseJob(to)); }}>
            {jobs.map((j) => <option key={j.job} value={j.job}>{j.title === '' ? titled('') : j.title}</option>)}
          </select>
        </label>
      )}
      {jobs.length > 1 && <UnderWay />}
      <Elsewhere />
      {newJobs().map((o) => (
        <div key={o.job} class="question" role="group" aria-label={`Another job: ${o.title}`} data-testid="another-job">
          <p>The office has another job: <b>{titled(o.title)}</b>. Taken onto this phone, its entries come along and it can be changed to here. What is kept in one job never goes into the other.</p>
          <p class="actions">
            <button type="button" onClick={() => attempt(async () => (await takeJob(o.job), say(`${titled(o.title)} is on this phone.`)))}>Take it onto this phone</button>
            <button type="button" onClick={() => attempt(() => leaveJob(o.job))}>Not on this phone</button>
          </p>
        </div>
      ))}
      {left.length > 0 && (
        <details>
          <summary>At the office, not on this phone ({left.length})</summary>
          <ul class="plain-list">{left.map((o) => <li key={o.job}><button type="button" class="wide" onClick={() => attempt(() => takeJob(o.job))}>Take {titled(o.title)} onto this phone</button></li>)}</ul>
        </details>
      )}
      <Problem error={error} />
    </Section>
  );
}

/** What goes on in the job in hand is shown, and rings, only while it is in hand. */
export function UnderWay() {
  const { value: r } = useView<{ runs: RunLine[] }>('runs', { running: true });
  const { value: h } = useView<{ tests: HoldLine[] }>('holds', { running: true });
  const on = [...(r?.runs ?? []).map((x) => `the run '${x.title}'`), ...(h?.tests ?? []).map((x) => `the hold test '${x.test}' on ${x.asm}`)];
  if (on.length === 0) return null;
  return <p class="notice warn" data-testid="under-way">Under way in this job: {on.join(', ')}. With another job in hand nothing of it is shown here, and nothing rings.</p>;
}

/** How the other jobs on this phone stand: what of them waits, and what has not come yet. */
function Elsewhere() {
  const { job, jobs } = status.value;
  const others = jobs.filter((j) => j.job !== job && (j.unsent > 0 || !j.fetched));
  return (
    <>
      {others.map((j) => (
        <p key={j.job} data-testid="other-job">
          {j.unsent > 0 && <>Only on this phone, of {titled(j.title)}: <b class="figure">{j.unsent}</b> {j.unsent === 1 ? 'entry. It goes' : 'entries. They go'} to the office with the rest.</>}
          {!j.fetched && j.unsent === 0 && <>Of {titled(j.title)} nothing has come yet: it comes when the office is next reached.</>}
        </p>
      ))}
    </>
  );
}

/** A phone without a job: it is asked, and nothing is chosen for it. */
export function NoJob() {
  const { jobs, offered } = status.value;
  const all = [...jobs, ...offered];
  if (all.length === 0) return <FirstJob />;
  return (
    <main class="plain">
      <h1>Which job?</h1>
      {all.length > 1 && <p>The office has more than one. This phone works in the one that you choose; another can be taken later under Job, How this phone stands.</p>}
      {all.map((j) => (
        <button key={j.job} type="button" class="wide" onClick={() => void chooseJob(j.job)}>{j.title === '' ? titled('') : j.title}</button>
      ))}
    </main>
  );
}

function FirstJob() {
  const [title, setTitle] = useState('');
  const [vehicle, setVehicle] = useState('');
  const s = status.value;
  return (
    <main class="plain">
      <h1>A new job</h1>
      <p>{s.role === 'lead' ? 'The office holds no job yet. Name the first one.' : 'The office holds no job yet. The lead begins one; then fetch again.'}</p>
      {s.role === 'lead' ? (
        <form onSubmit={(e) => (e.preventDefault(), void startJob(title, vehicle))}>
          <label>Title<input value={title} onInput={(e) => setTitle(e.currentTarget.value)} required /></label>
          <label>Vehicle<input value={vehicle} onInput={(e) => setVehicle(e.currentTarget.value)} /></label>
          <button class="wide" type="submit">Begin</button>
        </form>
      ) : (
        <>
          <button type="button" class="wide" disabled={s.busy} onClick={() => void exchange()}>Fetch again</button>
          <p class="fine" role="status">{s.says}</p>
        </>
      )}
    </main>
  );
}
