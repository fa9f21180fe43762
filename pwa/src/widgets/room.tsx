// Asks before something large is kept on a phone that is nearly full (T8).
import { useState } from 'preact/hooks';
import type { Copies } from '../log/copies';
import { dropSentCopies, sentCopies } from '../app/core';
import { megabytes, roomFor } from '../app/room';
import { say } from '../app/state';

interface Offer { what: string; free: number; copies: Copies; run: () => Promise<void> }

/** left: it was asked, and the answer was to leave it. Runs at once when there is room; else the question stands until it is answered, and nothing is dropped by itself. */
export function useRoom(left: () => void = () => undefined): { withRoom: (what: string, bytes: number, run: () => Promise<void>) => Promise<void>; question: preact.JSX.Element | null } {
  const [offer, setOffer] = useState<Offer | undefined>();
  const withRoom = async (what: string, bytes: number, run: () => Promise<void>) => {
    const room = await roomFor(bytes);
    if (!room.short) return run();
    setOffer({ what, free: room.free, copies: await sentCopies(), run });
  };
  return { withRoom, question: offer === undefined ? null : <Short offer={offer} done={() => setOffer(undefined)} left={left} /> };
}

function Short({ offer: o, done, left }: { offer: Offer; done: () => void; left: () => void }) {
  const [busy, setBusy] = useState(false);
  const answer = async (drop: boolean) => {
    setBusy(true);
    if (drop) {
      const gone = await dropSentCopies();
      say(`${megabytes(gone.bytes)} made free.`);
    }
    done();
    await o.run();
  };
  return (
    <div class="question" role="group" aria-label="This phone is nearly full">
      <p role="alert"><b>This phone is nearly full:</b> {megabytes(o.free)} left for this app.</p>
      {o.copies.count > 0 ? (
        <p>{photos(o.copies.count)} that the office has {o.copies.count === 1 ? 'takes' : 'take'} {megabytes(o.copies.bytes)} here. Such copies can be dropped from this phone and fetched again later. What only this phone has stays.</p>
      ) : <p>Nothing here can be fetched again from the office. Free some space on the phone, or hand in first.</p>}
      <p class="actions">
        {o.copies.count > 0 && <button type="button" class="primary" disabled={busy} onClick={() => void answer(true)}>Drop those copies, keep the {o.what}</button>}
        <button type="button" disabled={busy} onClick={() => void answer(false)}>Keep the {o.what} all the same</button>
        <button type="button" disabled={busy} onClick={() => (done(), left())}>Leave it</button>
      </p>
    </div>
  );
}

function photos(n: number): string {
  return n === 1 ? '1 photo' : `${n} photos`;
}
