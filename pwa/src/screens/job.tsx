// Job: who and what takes part, links for people
// outside, decisions, and what the tool could not use.
import { useEffect, useState } from 'preact/hooks';
import type { JobView } from '../core/types';
import { drawCode, links, makeLink, revokeLink, status, type Link } from '../app/core';
import { href } from '../app/state';
import { EngineName, Problem, Section, when } from '../widgets/basics';
import { TakeIn } from './handin';
import { Limits } from './limits';
import { Move } from './move';
import { SetUp } from './setup';
import { TakeOut } from './takeout';
import { ZeroCheck } from './zero';

export function JobScreen({ job }: { job: JobView }) {
  const lead = status.value.role === 'lead';
  return (
    <>
      <h1>{job.title}</h1>
      <PhoneLine />
      <div class="columns">
        <div class="column">
          <Numbering job={job} />
          <Section title="Engines">
            {job.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>)}
            <Move engines={job.engines} />
            <p class="actions"><a class="button" href={href('tags')}>Print tags</a></p>
          </Section>
          <ZeroCheck job={job} />
          <Limits job={job} />
        </div>
        <div class="column">
          <Decisions job={job} />
          <Section title="Parts">
            <p class="actions"><a class="button" href={href('parts')}>Parts ({job.parts.length})</a><a class="button" href={href('orders')}>Orders</a></p>
          </Section>
          {lead && <SetUp job={job} />}
          {lead && <Sharing />}
          {lead && <TakeIn />}
          {lead && <TakeOut />}
          <Unusable job={job} />
        </div>
      </div>
    </>
  );
}

/** The phone's own state has a screen of its own; here only the way to it. */
function PhoneLine() {
  const s = status.value;
  return (
    <p class="fine"><span class="figure">{s.entries}</span> entries on this phone, {s.device}. <a class="button link" href={href('phone')}>How this phone stands</a></p>
  );
}

function Numbering({ job }: { job: JobView }) {
  const n = job.numbering;
  return (
    <Section title="How it is numbered">
      {n === undefined ? <p class="empty">No convention has been signed. Agree on one before the first nut.</p> : (
        <p><b>{n.name}</b>: number 1 is at the {n.end1}. Left is {n.left}, right is {n.right}, {n.facing}.</p>
      )}
    </Section>
  );
}

function Decisions({ job }: { job: JobView }) {
  return (
    <Section title="Decisions">
      {job.decisions.length === 0 && <p class="empty">None yet.</p>}
      <ul class="plain-list">
        {job.decisions.map((d) => (
          <li key={d.id}>
            <a href={href('decision', { id: d.id })}><b>{d.title}</b></a>: {d.why} <span class="who">{d.by}, {when(d.at)}; {d.word}</span>
            {d.stale !== '' && <p class="problem">{d.stale}</p>}
          </li>
        ))}
      </ul>
    </Section>
  );
}

function Unusable({ job }: { job: JobView }) {
  if (job.unusable.length === 0 && job.newer === 0 && job.forks === 0) return null;
  return (
    <Section title="Kept, but not usable">
      <ul class="plain-list">{job.unusable.map((u) => <li key={u.id}>{u.what} by {u.by}: {u.why}</li>)}</ul>
      {job.newer > 0 && <p>{job.newer} entries need a newer version of this tool.</p>}
      {job.forks > 0 && <p>A phone was restored or copied: {job.forks} places of its log stand twice. Both count.</p>}
    </Section>
  );
}

function Sharing() {
  const [list, setList] = useState<Link[]>([]);
  const [made, setMade] = useState('');
  const [code, setCode] = useState('');
  const [name, setName] = useState('');
  const [people, setPeople] = useState(false);
  const [error, setError] = useState<string | undefined>();
  const attempt = async (work: () => Promise<void>) => {
    try {
      setError(undefined);
      await work();
    } catch (e) {
      setError((e as Error).message);
    }
  };
  const refresh = async () => setList(await links());
  useEffect(() => void refresh().catch(() => setError('Links and codes need the office; the rest works without.')), []);
  return (
    <Section title="Let others in">
      <form onSubmit={(e) => (e.preventDefault(), void attempt(async () => (setMade(await makeLink(name, people)), await refresh())))}>
        <label>A link for volunteers, called<input value={name} onInput={(e) => setName(e.currentTarget.value)} required /></label>
        <label class="choice"><input type="checkbox" checked={people} onChange={(e) => setPeople(e.currentTarget.checked)} /> with people's names</label>
        <button type="submit">Make a link</button>
      </form>
      {made !== '' && <p>Send this, it is shown once: <code data-testid="link">{made}</code></p>}
      <ul class="plain-list">
        {list.filter((l) => l.revoked === undefined).map((l) => (
          <li key={l.id}>{l.name}, until {l.expires.slice(0, 10)} <button type="button" onClick={() => void attempt(async () => (await revokeLink(l.id), await refresh()))}>End it</button></li>
        ))}
      </ul>
      <p class="actions">
        <button type="button" onClick={() => void attempt(async () => setCode(await drawCode('fitter')))}>Code for a fitter's phone</button>
        <button type="button" onClick={() => void attempt(async () => setCode(await drawCode('lead')))}>Code for a lead's phone</button>
      </p>
      {code !== '' && <p>Code, once, for ten minutes: <b class="figure big-code" data-testid="code">{code}</b></p>}
      <Problem error={error} />
    </Section>
  );
}
