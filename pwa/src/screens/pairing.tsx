// The first screens of a phone: pairing by a code, and whose hands it is in.
import { useEffect, useState } from 'preact/hooks';
import type { JobView } from '../core/types';
import { pair, setPerson, usedBefore } from '../app/core';
import { route } from '../app/state';
import { keepWaitingTag, takeWaitingTag } from '../app/tag';
import { Problem } from '../widgets/basics';

export function Pairing() {
  const [code, setCode] = useState(new URLSearchParams(location.hash.replace('#', '')).get('pair') ?? '');
  const [name, setName] = useState('');
  const [workshop, setWorkshop] = useState(false);
  const [error, setError] = useState<string | undefined>();
  const [busy, setBusy] = useState(false);
  useEffect(() => void keepWaitingTag(), [route.value]);
  const submit = async (e: Event) => {
    e.preventDefault();
    setBusy(true);
    setError(undefined);
    try {
      await pair(code.trim().toUpperCase(), name.trim() === '' ? 'phone' : name.trim(), workshop);
      const tag = await takeWaitingTag();
      if (tag !== undefined) location.hash = tag;
      else if (!location.hash.startsWith('#/')) location.hash = '#/engine'; // whoever has gone on meanwhile stays there
    } catch (x) {
      setError((x as Error).message);
    } finally {
      setBusy(false);
    }
  };
  return (
    <main class="plain">
      <h1>Witnessmark</h1>
      <p>This phone belongs to no workshop yet. The lead draws a code under People and phones; it works once, for ten minutes. The very first code, the lead's own, is drawn at the server: <b>witnessmark pair -role lead</b>.</p>
      {route.value.screen === 't' && <p class="notice" data-testid="tag-waits">The tag is kept: when this phone is paired, it opens.</p>}
      {usedBefore.value && <p class="notice">The app has been opened on this phone before. If it was paired then, the phone has cleared its store: what was handed in is with the office, what was not is gone. Pair it as a new one.</p>}
      <form onSubmit={(e) => void submit(e)}>
        <label>
          Code
          <input name="code" class="figure" value={code} onInput={(e) => setCode(e.currentTarget.value)} autocomplete="off" autocapitalize="characters" required />
        </label>
        <label>
          What this phone is called
          <input name="name" value={name} onInput={(e) => setName(e.currentTarget.value)} placeholder="for example: Idris's phone" autocomplete="off" />
        </label>
        <fieldset>
          <legend>Whose it is</legend>
          <label class="choice"><input type="radio" name="whose" checked={!workshop} onChange={() => setWorkshop(false)} /> one person's own</label>
          <label class="choice"><input type="radio" name="whose" checked={workshop} onChange={() => setWorkshop(true)} /> the workshop's, from hand to hand</label>
        </fieldset>
        <Problem error={error} />
        <button class="wide" type="submit" disabled={busy}>Pair this phone</button>
      </form>
    </main>
  );
}

export function Who({ people }: { people: JobView['people'] }) {
  return (
    <main class="plain">
      <h1>In whose hands is this phone?</h1>
      <ul class="choices">
        {people.filter((p) => p.role !== 'viewer').map((p) => (
          <li key={p.key}>
            <button type="button" class="wide" onClick={() => void setPerson(p.key)}>{p.name}{p.role === 'lead' ? ', lead' : ''}</button>
          </li>
        ))}
      </ul>
      <p class="fine">Not in the list? The lead adds people on the Job screen. Who only looks on writes nothing and is not named here.</p>
    </main>
  );
}
