// People and phones, for the lead: who takes part, each phone and how it stood
// when it last handed in, codes, links for people outside, and what was done.
// All but the crew is the office's own knowledge, so it needs the office.
import { useEffect, useState } from 'preact/hooks';
import type { JobView } from '../core/types';
import { deeds, links, makeLink, phones, renewKey, revokeLink, revokePhone, setRole, type Deed, type Link, type Phone } from '../app/people';
import { keep, status } from '../app/core';
import { say } from '../app/state';
import { Section } from '../widgets/basics';
import { CopyLink } from '../widgets/copylink';
import { AsTable } from '../widgets/table';
import { clockWords } from '../widgets/clock';
import { localTime } from './doors';
import { PairOne } from './pairone';
import { People } from './setup';

interface Known { phones: Phone[]; own: string; links: Link[]; deeds: Deed[] }

export function PeopleScreen({ job }: { job: JobView }) {
  const [known, setKnown] = useState<Known | undefined>();
  const [error, setError] = useState<string | undefined>();
  const refresh = async () => {
    const [p, l, d] = await Promise.all([phones(), links(), deeds()]);
    setKnown({ phones: p.devices, own: p.own, links: l, deeds: d });
    setError(undefined);
  };
  const attempt = (work: () => Promise<unknown>) => void work().then(refresh).catch((e: Error) => setError(e.message));
  // Asked anew after each exchange that came through: what it told is then the office's.
  useEffect(() => attempt(async () => undefined), [status.value.last]);
  if (status.value.role !== 'lead') return <p class="empty">The lead looks after people and phones.</p>;
  return (
    <>
      <h1>People and phones</h1>
      {error !== undefined && <NoOffice error={error} again={() => attempt(async () => undefined)} />}
      <div class="columns">
        <div class="column">
          <Crew job={job} />
          {known !== undefined && <PairOne known={known.phones} refresh={refresh} />}
          {known !== undefined && <Links list={known.links} attempt={attempt} />}
        </div>
        <div class="column">
          {known !== undefined && <Phones known={known} attempt={attempt} />}
          {known !== undefined && <Done known={known} job={job} />}
        </div>
      </div>
    </>
  );
}

type Attempt = (work: () => Promise<unknown>) => void;

function NoOffice({ error, again }: { error: string; again: () => void }) {
  return (
    <div class="notice warn" data-testid="no-office">
      <p>{error}</p>
      <p>Phones, codes and links are the office's, so they wait for it. The crew below is on this phone and can be changed now.</p>
      <button type="button" onClick={again}>Try again</button>
    </div>
  );
}

const crewRoles: [string, string][] = [['fitter', 'fitter'], ['lead', 'lead'], ['viewer', 'looks on']];
const phoneRoles: [string, string][] = [['fitter', 'measure and hand in'], ['lead', 'everything: a lead'], ['viewer', 'look on']];

function Crew({ job }: { job: JobView }) {
  const change = async (p: JobView['people'][number], role: string) => {
    await keep({ kind: 'person', body: { person: p.key, name: p.name, role }, over: [p.id] });
    say('Saved on this phone.');
  };
  return (
    <Section title="Crew">
      <p class="fine">What a person may sign is part of the record, with its day. What a phone may do is set at the phone.</p>
      {job.people.length === 0 && <p class="empty">Nobody yet.</p>}
      <ul class="crew">
        {job.people.map((p) => (
          <li key={p.key}>
            <label>{p.name}<select value={p.role} onChange={(e) => void change(p, e.currentTarget.value)}>{crewRoles.map(([k, w]) => <option key={k} value={k}>{w}</option>)}</select></label>
          </li>
        ))}
      </ul>
      <details><summary>Another person</summary><People people={job.people} /></details>
    </Section>
  );
}

function Phones({ known, attempt }: { known: Known; attempt: Attempt }) {
  const living = known.phones.filter((p) => p.revoked === undefined);
  const ended = known.phones.filter((p) => p.revoked !== undefined);
  return (
    <Section title="Phones">
      <ul class="phones">{living.map((p) => <OnePhone key={p.device} p={p} own={p.device === known.own} attempt={attempt} />)}</ul>
      <AsTable title="Phones" rows={living.map((p) => ({ key: p.device, cells: { name: p.name, role: p.role, seen: p.state === undefined ? undefined : localTime(p.state.seen), only: p.state === undefined ? undefined : String(p.state.unsent + p.state.photos), offset: p.state === undefined ? undefined : (p.state.offset_ms / 1000).toFixed(0), core: p.state?.core, paired: localTime(p.paired) } }))}
        columns={[{ key: 'name', head: 'Phone' }, { key: 'role', head: 'May do' }, { key: 'seen', head: 'Last here', figure: true }, { key: 'only', head: 'Only on it', figure: true }, { key: 'offset', head: 'Clock ahead', unit: 's', figure: true }, { key: 'core', head: 'Calculations' }, { key: 'paired', head: 'Paired', figure: true }]} />
      {ended.length > 0 && (
        <details>
          <summary>Pairing ended ({ended.length})</summary>
          <ul class="plain-list">{ended.map((p) => <li key={p.device}>{p.name}: ended {localTime(p.revoked ?? '')}. What it handed in stays.</li>)}</ul>
        </details>
      )}
    </Section>
  );
}

function OnePhone({ p, own, attempt }: { p: Phone; own: boolean; attempt: Attempt }) {
  const [sure, setSure] = useState(false);
  const s = p.state;
  return (
    <li>
      <h3>{p.name}{own && <span class="fine"> the one in your hand</span>}</h3>
      <dl class="facts">
        <div><dt>Last here</dt><dd>{s === undefined ? 'never handed in or fetched' : localTime(s.seen)}</dd></div>
        {s !== undefined && <div><dt>Only on it</dt><dd>{waits(s)}</dd></div>}
        {s !== undefined && <div><dt>Clock</dt><dd>{clockWords(s.offset_ms)}</dd></div>}
        {s !== undefined && <div><dt>App</dt><dd>version {s.app === '' ? 'not said' : s.app}, calculations {s.core}{s.core !== status.value.core && <b> Not the same as on the phone in your hand: take the new version on whichever is older.</b>}</dd></div>}
        <div><dt>Paired</dt><dd>{localTime(p.paired)}</dd></div>
      </dl>
      <div class="phone-deeds">
        {own ? <p class="fine">Another lead's phone changes this one.</p> : (
          <label>{`May do (${p.name})`}<select value={p.role} onChange={(e) => attempt(() => setRole(p.device, e.currentTarget.value))}>{phoneRoles.map(([k, w]) => <option key={k} value={k}>{w}</option>)}</select></label>
        )}
        <button type="button" onClick={() => attempt(async () => (await renewKey(p.device), say(`${p.name} gets a new key when it next hands in.`)))}>New key</button>
        {!own && !sure && <button type="button" onClick={() => setSure(true)}>{`End ${p.name}`}</button>}
      </div>
      {sure && (
        <div class="question" role="group" aria-label={`End ${p.name}`}>
          <p>Lost or lent away? Its next call is refused. What it handed in stays; what is only on it can still be saved there as a file.</p>
          <p class="actions">
            <button type="button" onClick={() => attempt(() => revokePhone(p.device))}>{`Yes, end ${p.name}`}</button>
            <button type="button" onClick={() => setSure(false)}>Leave it</button>
          </p>
        </div>
      )}
    </li>
  );
}

function waits(s: { unsent: number; photos: number }): string {
  if (s.unsent + s.photos === 0) return 'nothing, as it last said';
  const parts = [[s.unsent, 'entry', 'entries'] as const, [s.photos, 'photo or voice note', 'photos and voice notes'] as const].filter(([n]) => n > 0);
  return `${parts.map(([n, one, many]) => `${n} ${n === 1 ? one : many}`).join(' and ')}, as it last said`;
}

function Links({ list, attempt }: { list: Link[]; attempt: Attempt }) {
  const [made, setMade] = useState('');
  const [name, setName] = useState('');
  const [people, setPeople] = useState(false);
  const make = (called: string, withPeople: boolean, instead?: string) =>
    attempt(async () => {
      setMade(await makeLink(called, withPeople));
      if (instead !== undefined) await revokeLink(instead);
      setName('');
    });
  const now = new Date().toISOString();
  const dead = (l: Link) => l.revoked !== undefined || l.expires < now;
  return (
    <Section title="Links for people outside">
      <p class="fine">A link shows how far things are, read only, for thirty days. For the tea-room's screen open it there and choose the wall.</p>
      <form onSubmit={(e) => (e.preventDefault(), make(name, people))}>
        <label>A link for volunteers, called<input value={name} onInput={(e) => setName(e.currentTarget.value)} required /></label>
        <label class="choice"><input type="checkbox" checked={people} onChange={(e) => setPeople(e.currentTarget.checked)} /> with people's names</label>
        <button type="submit">Make a link</button>
      </form>
      {made !== '' && <><p>Send this, it is shown once:</p><CopyLink link={made} testid="link" /></>}
      <ul class="plain-list">
        {list.filter((l) => !dead(l)).map((l) => (
          <li key={l.id}>
            {l.name}, until {l.expires.slice(0, 10)}{l.people ? ', with names' : ''}
            <p class="actions">
              <button type="button" onClick={() => attempt(() => revokeLink(l.id))}>End it</button>
              <button type="button" onClick={() => make(l.name, l.people, l.id)}>Another in its place</button>
            </p>
          </li>
        ))}
      </ul>
      {list.some(dead) && (
        <details>
          <summary>Dead links ({list.filter(dead).length})</summary>
          <ul class="plain-list">{list.filter(dead).map((l) => <li key={l.id}>{l.name}: {l.revoked === undefined ? `ran out ${localTime(l.expires)}` : `ended ${localTime(l.revoked)}`}</li>)}</ul>
        </details>
      )}
    </Section>
  );
}

const actions: Record<string, string> = {
  'draw code': 'a code was drawn for', 'pair': 'was paired as', 'pair refused': 'a code was refused:', 'revoke phone': 'ended', 'change role': 'changed what may do',
  "renew a phone's key": 'renewed the key of', 'make view link': 'made a link:', 'revoke view link': 'ended a link', 'fork': 'two entries in one place of a log,',
  'second phone with one log': 'a copied phone was found', 'entries refused': 'lines that are no entries:', "another phone's entries": 'brought new entries of a log that another phone writes:', 'new epoch': 'the office was restored',
  'export job': 'a job was taken out as a file', 'import job': 'a job was brought in from a file', 'backup': 'a backup was made', 'restore from backup': 'restored from a backup',
  'hand in from a file': 'took in a file',
};

/** How many of the newest lines stand there at once. */
const first = 20;

function Done({ known, job }: { known: Known; job: JobView }) {
  const [all, setAll] = useState(false);
  const name = (id: string | undefined) => (id === undefined ? undefined : (known.phones.find((p) => p.device === id)?.name ?? known.links.find((l) => l.id === id)?.name));
  const lines = all ? known.deeds : known.deeds.slice(0, first);
  return (
    <Section title="What was done">
      <p class="fine">Kept by the office, and never changed. {job.title} and everything else of this workshop.</p>
      <ul class="plain-list deeds">
        {lines.map((d, i) => (
          <li key={i}><span class="fine figure">{localTime(d.at)}</span> {[name(d.device) ?? (d.device === undefined ? 'at the office' : 'a phone'), actions[d.action] ?? d.action, d.subject === d.device ? undefined : name(d.subject), d.detail].filter((t, i, all) => t !== undefined && t !== '' && t !== all[i - 1]).join(' ')}</li>
        ))}
      </ul>
      {!all && known.deeds.length > first && <button type="button" onClick={() => setAll(true)}>All {known.deeds.length}</button>}
    </Section>
  );
}
