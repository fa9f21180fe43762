// How a sheet was measured on the other engine, to do it the same way here:
// order, instruments, condition, how often, what was skipped. No value of it.
import type { SheetView, TwinWay } from '../core/types';
import { say, sit, sitting } from '../app/state';

export function TwinWayBox({ v, sheet, way }: { v: SheetView; sheet: string; way: TwinWay }) {
  const s = sitting.value;
  const twin = v.twin ?? '';
  const chosen = s.walk === 'twin' && s.sheet === sheet && (way.start_with === undefined || s.instrument === way.start_with);
  const follow = () => {
    sit({ walk: 'twin', sheet, ...(way.start_with === undefined ? {} : { instrument: way.start_with }) });
    say(`Next follows ${twin}: ${[way.start_with, way.cond_words].filter((t) => t !== undefined).join(', ')}.`);
  };
  return (
    <section class="twin-way" aria-label={`${sheet}, as on ${twin}`}>
      <h2>As on {twin}</h2>
      <dl>
        <div><dt>condition</dt><dd>{way.cond_words}{way.also.length > 0 && <span class="fine"> (measured there too: {way.also.map((c) => c.words).join(', ')})</span>}</dd></div>
        <div><dt>with</dt><dd>{way.tools.length === 0 ? 'no instrument named' : way.tools.map((t) => [t.key, t.what].filter((x) => x !== undefined).join(', ')).join('; ')}</dd></div>
        <div><dt>in</dt><dd>{way.units.join(', ')}</dd></div>
      </dl>
      <details>
        <summary>In this order</summary>
        <ol>
          {way.steps.map((p, i) => (
            <li key={i}>
              {p.words}{p.points.some((x) => x.point !== '') && ':'} {p.points.map(pointLine).filter((t) => t !== '').join(', ')}{p.tool !== undefined && <span class="fine"> with {p.tool}</span>}
            </li>
          ))}
        </ol>
      </details>
      {chosen
        ? <p class="notice">Next goes round as on {twin}. What was skipped there still comes up here.</p>
        : <p class="actions"><button type="button" onClick={follow}>Do it the same way</button></p>}
    </section>
  );
}

function pointLine(x: TwinWay['steps'][number]['points'][number]): string {
  const how = x.skipped !== undefined ? `skipped: ${x.skipped}` : x.readings === 1 ? '' : `${x.readings} readings`;
  return x.point === '' ? how : how === '' ? x.point : `${x.point} (${how})`;
}
