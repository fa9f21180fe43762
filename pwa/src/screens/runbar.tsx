// An engine that runs is said on every screen, with the way back to it.
import type { RunLine } from '../core/types';
import { href, route } from '../app/state';
import { EngineName, useView } from '../widgets/basics';

export function RunBar() {
  const { value: v } = useView<{ runs: RunLine[] }>('runs', { running: true });
  const elsewhere = (v?.runs ?? []).filter((r) => !(route.value.screen === 'run' && route.value['id'] === r.id));
  return (
    <>
      {elsewhere.map((r) => (
        <div key={r.id} class="notice" data-testid="run-bar">
          <p><b>Running: {r.title}.</b> Stop and air shut-off stay manned.</p>
          {r.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>)}
          <a class="button" href={href('run', { asm: r.engines[0]?.asm, id: r.id })}>To the run</a>
        </div>
      ))}
    </>
  );
}
