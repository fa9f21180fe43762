// A sheet: what an engine needs measured, in the order of the walk, with what
// is done, what is missing and who did it.
import type { SheetView } from '../core/types';
import { href, sit, sitting } from '../app/state';
import { EngineName, Problem, useView } from '../widgets/basics';
import { TwinWayBox } from './twinway';

export function SheetScreen({ asm }: { asm: string }) {
  const { value: v, error } = useView<SheetView>('sheet', { asm, walk: sitting.value.walk, sheet: sitting.value.sheet });
  if (v === undefined) return <Problem error={error} />;
  const asThere = sitting.value.walk === 'twin' && v.twin !== undefined;
  const cond = asThere ? v.groups.find((g) => g.sheet === sitting.value.sheet)?.way?.cond : undefined;
  return (
    <>
      <h1>Sheet</h1>
      <p><EngineName e={v.engine} /></p>
      <label>I go round
        <select value={v.twin === undefined && sitting.value.walk === 'twin' ? '' : sitting.value.walk} onChange={(e) => sit({ walk: e.currentTarget.value as typeof sitting.value.walk })}>
          <option value="">place by place</option>
          <option value="direction">all of one direction first</option>
          {v.twin !== undefined && <option value="twin">as on {v.twin}</option>}
        </select>
      </label>
      {v.next !== undefined && <a class="button wide primary" href={href('point', { ...v.next, words: undefined, cond })}>Next: {v.next.words}</a>}
      {v.groups.map((g) => (
        <details key={g.sheet} open={g.done > 0 && g.done < g.total}>
          <summary>{`${g.sheet}:\u00a0`}<span class="figure">{g.done} of {g.total}</span></summary>
          {g.way !== undefined && <TwinWayBox v={v} sheet={g.sheet} way={g.way} />}
          <div class="scroll" tabIndex={0} role="region" aria-label={g.sheet}>
            <table class="sheet">
              <tbody>
                {g.places.map((p) => (
                  <tr key={p.at}>
                    <th scope="row">{p.words}</th>
                    <td>
                      {p.points.map((x) => (
                        <a key={x.point} class={`cell ${x.state}`} href={href('point', { asm, at: p.at, point: x.point, cond: x.state === 'missing' ? cond : undefined })}>
                          {x.point !== '' && <span class="fine">{x.point} </span>}
                          <span class="figure">{x.state === 'missing' ? 'missing' : x.state === 'skipped' ? `skipped: ${x.text}` : x.text}</span>
                          <span class="fine">{x.state === 'contested' ? ' not settled' : x.by === '' ? '' : ` ${x.by.split(' ')[0]}`}</span>
                          {x.there !== undefined && <span class="fine there">{x.there}</span>}
                        </a>
                      ))}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        </details>
      ))}
    </>
  );
}
