// What came in since this person last looked on this phone, and who has not
// exchanged for long. When somebody looked is the phone's own: no entry.
import { useEffect, useState } from 'preact/hooks';
import type { CameView } from '../core/types';
import { loadDraft, putDraft, status } from '../app/core';
import { phones, type Phone } from '../app/people';
import { href, say } from '../app/state';
import { useView } from '../widgets/basics';
import { localTime } from './doors';

type Seen = Record<string, number>;
const seenKey = () => `looked/${status.value.job}/${status.value.person}`;

/** Closed it is one line; 'Seen' begins anew from here. */
export function Came() {
  const [seen, setSeen] = useState<Seen | undefined>();
  const { value: v } = useView<CameView>('came', { me: status.value.person, ...(seen === undefined ? {} : { seen }) });
  const look = (now: Seen) => {
    setSeen(now);
    putDraft(seenKey(), now);
  };
  useEffect(() => {
    if (v === undefined || seen !== undefined) return;
    // Who looks here for the first time has nothing to catch up with.
    void loadDraft<Seen>(seenKey()).then((old) => (old === undefined ? look(v.now) : setSeen(old)));
  }, [v, seen]);
  if (v === undefined || seen === undefined || v.count === 0) return null;
  return (
    <details class="came" data-testid="came">
      <summary>Since you last looked: {v.count} {v.count === 1 ? 'entry' : 'entries'} by {v.people.join(', ')}</summary>
      <ul class="lines">
        {v.groups.map((g, i) => {
          const { screen, ...params } = g.open;
          return <li key={i}><a class="line" href={href(screen, params)}><span class="line-title">{g.words === '' ? g.what : g.words}</span><span class="line-says">{g.words === '' ? g.by : `${g.what}, ${g.by}`}</span></a></li>;
        })}
      </ul>
      <button type="button" class="wide" onClick={() => (look(v.now), say('All of it is seen.'))}>Seen</button>
    </details>
  );
}

/** A phone that is silent longer than this is asked after, ms. */
const silent = 24 * 3_600_000;

/** For the lead, from the office; and for everybody what only this phone has. */
export function Silent() {
  const [known, setKnown] = useState<{ list: Phone[]; own: string } | undefined>();
  const { role, last, unsent, unsentPhotos } = status.value;
  useEffect(() => {
    if (role === 'lead') phones().then((p) => setKnown({ list: p.devices, own: p.own }), () => undefined); // without the office nobody knows of other phones
  }, [role, last]);
  const long = (at: string) => Date.now() - Date.parse(at) > silent;
  const away = (known?.list ?? []).filter((p) => p.revoked === undefined && p.device !== known?.own && (p.state === undefined ? long(p.paired) : long(p.state.seen)));
  const waits = unsent + unsentPhotos;
  const own = waits > 0 && (last === '' || long(last));
  if (away.length === 0 && !own) return null;
  return (
    <div class="notice warn" data-testid="silent">
      {own && <p>{waits} only on this phone, and it has {last === '' ? 'never reached the office' : `not reached the office since ${localTime(last)}`}. <a href={href('phone')}>Hand it in</a>.</p>}
      {away.length > 0 && (
        <details>
          <summary>Not heard from for more than a day: {away.length} {away.length === 1 ? 'phone' : 'phones'}. What is on {away.length === 1 ? 'it' : 'them'} nobody else has yet.</summary>
          <ul class="plain-list">{away.map((p) => <li key={p.device}><a href={href('people')}>{p.name}</a>: {p.state === undefined ? 'paired, never handed in' : `last here ${localTime(p.state.seen)}${p.state.unsent + p.state.photos > 0 ? `, ${p.state.unsent + p.state.photos} only on it as it then said` : ''}`}</li>)}</ul>
        </details>
      )}
    </div>
  );
}
