// A hold test that this phone began and whose wanted time is over says so on
// every screen: in words, with a short sound, and with a shake where there is one.
import { useEffect } from 'preact/hooks';
import type { HoldLine, HoldsView } from '../core/types';
import { clock, counting, ring, tick, ticking } from '../app/holding';
import { span } from '../app/holdclock';
import { href, route, say } from '../app/state';
import { EngineName, useView } from '../widgets/basics';

export function HoldAlarm() {
  const { value: v } = useView<Pick<HoldsView, 'tests'>>('holds', { running: true });
  const timed = (counting.value ? (v?.tests ?? []) : []).filter((t) => (t.wait_s ?? 0) > 0 && clock.own(t.id));
  useEffect(() => (timed.length === 0 ? undefined : ticking()), [timed.length === 0]);
  if (timed.length === 0) return null;
  void tick.value;
  const over = timed.map((t) => ({ t, late: clock.of(t.id, t.at).ms - 1000 * (t.wait_s ?? 0) })).filter((x) => x.late >= 0);
  return <>{over.map(({ t, late }) => <Over key={t.id} t={t} late={late} />)}</>;
}

function Over({ t, late }: { t: HoldLine; late: number }) {
  useEffect(() => {
    if (!clock.rang(t.id)) return;
    ring();
    say(`Hold test over: ${t.asm}, ${t.test}. Take the end reading.`);
  }, [t.id]);
  const r = route.value;
  const here = r.screen === 'hold' && r['id'] === t.id;
  return (
    <div class="notice hold-over" data-testid="hold-over">
      <p><b>Hold test over: {t.test}.</b> The {t.wait} were over {span(late)} ago.</p>
      {!here && t.engine !== undefined && <p><EngineName e={t.engine} /></p>}
      {!here && <a class="button" href={href('hold', { asm: t.asm, id: t.id })}>To the hold test</a>}
    </div>
  );
}
