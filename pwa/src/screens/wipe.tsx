// A phone that is handed on: everything of the app goes from it, but never what
// only this phone has (T52).
import { useState } from 'preact/hooks';
import { status, takeOut, unsentElsewhere } from '../app/core';
import { Problem, Section } from '../widgets/basics';

export function RemovePhone() {
  const { unsent, unsentPhotos } = status.value;
  const [sure, setSure] = useState(false);
  const [error, setError] = useState<string | undefined>();
  const remove = () => {
    if (!sure) return setSure(true);
    void takeOut().catch((e: Error) => (setError(e.message), setSure(false)));
  };
  return (
    <Section title="Take this phone out">
      <p>For a phone that is handed on: its pairing ends, and all that the app keeps goes from it. What was handed in stays at the office.</p>
      {unsent + unsentElsewhere() + unsentPhotos > 0 && <p>First hand in what is only on this phone, or save it as a file.</p>}
      {sure && <p role="status"><b>This cannot be taken back.</b> Touch once more to remove everything.</p>}
      <button type="button" class="wide" onClick={remove}>{sure ? 'Remove everything from this phone' : 'Take this phone out'}</button>
      {sure && <button type="button" class="wide" onClick={() => setSure(false)}>Leave it as it is</button>}
      <Problem error={error} />
    </Section>
  );
}
