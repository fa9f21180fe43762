// Whose hands: a workshop's phone is handed round, so one tap on a name says
// who writes now. Who takes the readings may be somebody else, chosen once per
// sitting: one measures, one writes.
import type { JobView } from '../core/types';
import { setPerson, status } from '../app/core';
import { say, sit, sitting } from '../app/state';

type People = JobView['people'];

/** Who takes the readings now: the writer, unless somebody else was chosen. */
export const taker = (): string => (sitting.value.taker === '' ? status.value.person : sitting.value.taker);

/** 'read by …' when that is somebody else than the writer; '' otherwise. */
export function otherTaker(people: People): string {
  const who = taker();
  return who === status.value.person ? '' : `read by ${people.find((p) => p.key === who)?.name ?? who}`;
}

export function Hands({ people }: { people: People }) {
  const s = status.value;
  if (!s.workshop || people.length < 2) return null;
  const hand = (p: People[number]) => {
    void setPerson(p.key);
    if (sitting.value.taker === p.key) sit({ taker: '' });
    say(`${p.name} writes now.`);
  };
  return (
    <div class="hands" role="group" aria-label="Who writes now">
      <span class="fine">Writes now</span>
      {people.map((p) => (
        <button key={p.key} type="button" aria-pressed={p.key === s.person} aria-label={p.name} onClick={() => hand(p)}>{short(p.name, people)}</button>
      ))}
    </div>
  );
}

/** The first name, unless two people share it. */
function short(name: string, people: People): string {
  const first = name.split(' ')[0] ?? name;
  return people.filter((p) => p.name.split(' ')[0] === first).length > 1 ? name : first;
}

export function TakerChoice({ people }: { people: People }) {
  const me = status.value.person;
  return (
    <label>
      read by
      <select value={sitting.value.taker === me ? '' : sitting.value.taker} onChange={(e) => sit({ taker: e.currentTarget.value })}>
        <option value="">the one who writes</option>
        {people.filter((p) => p.key !== me).map((p) => <option key={p.key} value={p.key}>{p.name}</option>)}
      </select>
    </label>
  );
}
