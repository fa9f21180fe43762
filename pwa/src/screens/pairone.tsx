// Pairing one phone: the code is drawn here, large enough to read across the
// bench, with a square that the phone's own camera reads. The office says when
// a phone has taken it.
import { useEffect, useState } from 'preact/hooks';
import { drawCode, phones, type Code, type Phone } from '../app/people';
import { say } from '../app/state';
import { Problem, Section } from '../widgets/basics';
import { CopyLink } from '../widgets/copylink';
import { Qr } from '../widgets/qr';

/** How often the office is asked whether the code has been taken, while it is shown, ms. */
const often = 2000;

interface Drawn extends Code { till: number; before: string[] }

export function PairOne({ known, refresh }: { known: Phone[]; refresh: () => Promise<void> }) {
  const [drawn, setDrawn] = useState<Drawn | undefined>();
  const [paired, setPaired] = useState('');
  const [error, setError] = useState<string | undefined>();
  const draw = async (role: string) => {
    try {
      const code = await drawCode(role);
      setDrawn({ ...code, till: Date.now() + code.expires_in * 1000, before: known.map((p) => p.device) });
      setPaired('');
      setError(undefined);
    } catch (e) {
      setError((e as Error).message);
    }
  };
  useEffect(() => {
    if (drawn === undefined) return undefined;
    const look = async () => {
      if (Date.now() > drawn.till) return setDrawn(undefined);
      const fresh = (await phones()).devices.find((p) => !drawn.before.includes(p.device));
      if (fresh === undefined) return;
      setPaired(fresh.name);
      say(`${fresh.name} is paired.`);
      setDrawn(undefined);
      await refresh();
    };
    const timer = setInterval(() => document.visibilityState === 'visible' && void look().catch(() => undefined), often);
    return () => clearInterval(timer);
  }, [drawn?.code]);
  return (
    <Section title="Pair a phone">
      {paired !== '' && <p class="notice" role="status" data-testid="paired">{paired} is paired.</p>}
      {drawn === undefined ? (
        <p class="actions">
          <button type="button" onClick={() => void draw('fitter')}>Code for a fitter's phone</button>
          <button type="button" onClick={() => void draw('viewer')}>Code for one that looks on</button>
          <button type="button" onClick={() => void draw('lead')}>Code for a lead's phone</button>
        </p>
      ) : <Shown code={drawn} away={() => setDrawn(undefined)} />}
      <Problem error={error} />
    </Section>
  );
}

/** An address that only this machine itself reaches. */
const ownAddress = /^(localhost|127\.|\[::1\])/.test(location.hostname);

const whose: Record<string, string> = { fitter: "a fitter's phone", lead: "a lead's phone", viewer: 'a phone that looks on' };

function Shown({ code, away }: { code: Drawn; away: () => void }) {
  const link = `${location.origin}/#pair=${code.code}`;
  const split = `${code.code.slice(0, 4)} ${code.code.slice(4)}`;
  return (
    <div class="pair-one">
      <Qr text={link} />
      <div>
        <p>For {whose[code.role] ?? 'a phone'}, once, until {new Date(code.till).toTimeString().slice(0, 5)}:</p>
        <p><b class="figure big-code" data-testid="code">{split}</b></p>
        <ol class="steps">
          <li>Read the square with the phone's camera, open the link below on it, or open <b>{location.origin}</b> and type the code.</li>
          <li>Give it the name that is written on its back, and say whose it is.</li>
          <li>Put the app on its home screen before it goes under the vehicle.</li>
        </ol>
        {ownAddress && <p class="problem"><b>{location.origin}</b> is reached from this machine alone. For other phones run the server at an address of the workshop's network, with a certificate, as the README says, and open the app there.</p>}
        <p class="fine">On an iPhone put the app on the Home Screen first and type the code there.</p>
        <CopyLink link={link} testid="pair-link" />
        <button type="button" onClick={away}>Put it away</button>
      </div>
    </div>
  );
}
