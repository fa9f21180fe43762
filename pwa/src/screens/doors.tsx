// What is shown instead of the app while it cannot go on: in the tab of an
// iPhone, after the store was cleared, and when another version has the store.
import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { status, takeUp, unsentFile, openAgain } from '../app/core';
import { saveFile } from '../app/file';
import { Problem, when } from '../widgets/basics';

export function Plain({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <main class="plain">
      <h1>{title}</h1>
      {children}
    </main>
  );
}

/** Pairing in the tab would begin a second store that the app on the Home Screen never sees (T5). */
export function InstallFirst() {
  return (
    <Plain title="First put it on the Home Screen">
      <p>This is the browser's tab. On this kind of phone the tab and the Home Screen keep apart what is saved, so pairing waits until the app is on the Home Screen.</p>
      <InstallSteps />
    </Plain>
  );
}

export function InstallSteps() {
  return (
    <ol class="steps">
      <li>Touch the share sign: the square with the arrow upwards.</li>
      <li>Choose <b>Add to Home Screen</b>, then <b>Add</b>.</li>
      <li>Close this tab and open Witnessmark from the Home Screen. Pair it there.</li>
    </ol>
  );
}

/** The phone has cleared the store, the office still knows the phone (T6). */
export function LostScreen() {
  const [workshop, setWorkshop] = useState(false);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<string | undefined>();
  const { lost } = status.value;
  if (lost === undefined) return null;
  const goOn = async () => {
    setBusy(true);
    await takeUp(workshop).catch((e: Error) => setError(e.message)).finally(() => setBusy(false));
  };
  return (
    <Plain title="This phone has cleared the app's store">
      <p>The office still knows this phone as <b>{lost.name}</b>. {lost.entries === 0 ? 'It holds nothing from it.' : <>It holds <b class="figure">{lost.entries}</b> {lost.entries === 1 ? 'entry' : 'entries'} from it: they are safe, and come back with the next fetch.</>}</p>
      <p class="problem">{lost.since === '' ? 'Whatever was kept on this phone and never handed in is gone.' : `What was kept here after ${localTime(lost.since)} and not handed in is gone. Measure it again.`}</p>
      <p>A new log begins now. Nothing of the old one is written over.</p>
      <fieldset>
        <legend>Whose this phone is</legend>
        <label class="choice"><input type="radio" name="whose" checked={!workshop} onChange={() => setWorkshop(false)} /> one person's own</label>
        <label class="choice"><input type="radio" name="whose" checked={workshop} onChange={() => setWorkshop(true)} /> the workshop's, from hand to hand</label>
      </fieldset>
      <Problem error={error} />
      <button type="button" class="wide primary" disabled={busy} onClick={() => void goOn()}>Go on with a new log</button>
    </Plain>
  );
}

/** This build is older than the one that changed the store: it touches nothing (T44). */
export function NewerScreen() {
  return (
    <Plain title="A newer version was here">
      <p>A newer version of the app has been used on this phone, and this older one cannot read what it keeps. Nothing was touched or deleted.</p>
      <p>Close every window of the app and open it again with a signal: it then fetches the newer version by itself.</p>
      <SaveLines />
    </Plain>
  );
}

export function LetGoScreen() {
  return (
    <Plain title="Go on in the other window">
      <p>A newer version of the app has opened on this phone, and this window has let go of the store. All that was kept is there; what was half typed is kept too.</p>
      <button type="button" class="wide" onClick={() => void openAgain()}>Open it again here</button>
    </Plain>
  );
}

export function BlockedScreen() {
  return (
    <Plain title="Close the other window">
      <p>An older window of the app is still open on this phone and holds its store. Close it; this one then goes on by itself. Nothing is lost by waiting.</p>
    </Plain>
  );
}

/** What the office has not got, as a file: for the lead, or to be safe. */
export function SaveLines() {
  const [says, setSays] = useState('');
  const save = async () => {
    try {
      const lines = await unsentFile();
      if (lines === '') return setSays('Everything on this phone has been handed in: there is nothing to save.');
      saveFile(`witnessmark-not-handed-in-${new Date().toISOString().slice(0, 10)}.ndjson`, lines);
      setSays(`${lines.split('\n').length - 1} entries went into the file. They stay on this phone too.`);
    } catch (e) {
      setSays(`The file could not be made: ${(e as Error).message}`);
    }
  };
  return (
    <>
      <button type="button" class="wide" onClick={() => void save()}>Save what is not handed in as a file</button>
      <p class="fine" role="status">{says}</p>
    </>
  );
}

/** A time of the office's as this phone's clock would say it. */
export function localTime(at: string): string {
  return when(new Date(at).toLocaleString('sv'));
}
