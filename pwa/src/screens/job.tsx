// Job: what takes part, decisions, what the tool could not use, and the ways to
// the lead's own screens.
import type { JobView } from '../core/types';
import { status } from '../app/core';
import { href } from '../app/state';
import { EngineName, Section, when } from '../widgets/basics';
import { TakeIn } from './handin';
import { newJobs, titled } from './jobs';
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
      {lead && <p class="actions"><a class="button" href={href('people')}>People and phones</a></p>}
      <div class="columns">
        <div class="column">
          <Numbering job={job} />
          <Section title="Engines">
            {job.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>)}
            <Move engines={job.engines} />
            <p class="actions"><a class="button" href={href('tags')}>Print tags</a></p>
          </Section>
          {job.engines.length > 0 && (
            <Section title="On paper, and from before">
              <p class="actions">
                <a class="button" href={href('paper')}>A sheet to print</a>
                <a class="button" href={href('paper', { key: 'in' })}>Key in a sheet</a>
                <a class="button" href={href('listin')}>Take in a list</a>
              </p>
            </Section>
          )}
          <ZeroCheck job={job} />
          <Limits job={job} />
        </div>
        <div class="column">
          <Decisions job={job} />
          <Section title="Parts">
            <p class="actions"><a class="button" href={href('parts')}>Parts ({job.parts.length})</a><a class="button" href={href('orders')}>Orders</a></p>
          </Section>
          {lead && <SetUp job={job} />}
          {lead && <TakeIn />}
          {lead && <TakeOut job={job} />}
          <Unusable job={job} />
        </div>
      </div>
    </>
  );
}

/** The phone's own state has a screen of its own; here only the way to it. */
function PhoneLine() {
  const s = status.value;
  const [fresh] = newJobs();
  return (
    <p class="fine"><span class="figure">{s.entries}</span> entries on this phone, {s.device}. {fresh !== undefined && <>The office has another job: <b>{titled(fresh.title)}</b>. </>}<a class="button link" href={href('phone')}>How this phone stands</a></p>
  );
}

function Numbering({ job }: { job: JobView }) {
  const n = job.numbering;
  return (
    <Section title="How it is numbered">
      {n === undefined ? <p class="empty">No convention has been signed. Agree on one before the first nut.</p> : (
        <>
          <p><b>{n.name}</b>: number 1 is at the {n.end1}. Left is {n.left}, right is {n.right}, {n.facing}.</p>
          {n.shops.map((m) => <p key={m.name}>{m.name} counts otherwise: {m.says}.</p>)}
        </>
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
