// One supplier's order on paper: part, quantity, sizes, what it is for, a sketch of
// each part, and lines to fill by hand. Prices stand on it only when somebody ticks them.
import { useState } from 'preact/hooks';
import type { OrderLine, OrdersView } from '../core/types';
import { href, today } from '../app/state';
import { Drawing, EngineName, Problem, useView } from '../widgets/basics';

/** What has come already is not asked for again, and what is in doubt not before that is settled. */
const toOrder = (l: OrderLine) => l.state !== 'received' && l.stale === undefined && l.torn === undefined;

export function OrderSheetScreen({ supplier }: { supplier: string }) {
  const { value: v, error } = useView<OrdersView>('orders', { today: today(), sketch: 'yes' });
  const [paper, setPaper] = useState<'a4' | 'letter'>('a4');
  const [prices, setPrices] = useState(false);
  const [ticked, setTicked] = useState<Readonly<Record<string, boolean>>>({});
  if (v === undefined) return <Problem error={error} />;
  const of = v.suppliers.find((s) => s.supplier === supplier);
  if (of === undefined) return <><h1>Nothing to order</h1><p>Nothing of this supplier is wanted or on order now. What is stands under <a href={href('orders')}>Orders</a>.</p></>;
  const on = (l: OrderLine) => ticked[l.part] ?? toOrder(l);
  const lines = of.lines.filter(on);
  return (
    <article class={`instruction order-sheet ${paper}`}>
      <div class="no-print">
        <p class="actions"><button type="button" class="primary" disabled={lines.length === 0} onClick={() => print()}>Print it</button><a class="button" href={href('orders')}>All orders</a></p>
        <div class="pick"><label>Paper<select value={paper} onChange={(e) => setPaper(e.currentTarget.value as 'a4' | 'letter')}><option value="a4">A4</option><option value="letter">Letter</option></select></label></div>
        <fieldset>
          <legend>On the sheet</legend>
          {of.lines.map((l) => <label key={l.part} class="choice"><input type="checkbox" checked={on(l)} onChange={(e) => setTicked({ ...ticked, [l.part]: e.currentTarget.checked })} /> {l.part} {l.what}: {l.word}</label>)}
          <label class="choice"><input type="checkbox" checked={prices} onChange={(e) => setPrices(e.currentTarget.checked)} /> with prices</label>
        </fieldset>
      </div>
      <p class="fine">{v.job} · printed {today()}</p>
      <h1>Order sheet: {supplier === '' ? 'no supplier yet' : supplier}</h1>
      <p class="blank-lines">{[...(supplier === '' ? ['Supplier'] : []), 'Contact: name', 'telephone or post', 'From', 'Ordered on', 'Promised for'].map((w) => <span key={w}>{w}</span>)}</p>
      <div class="scroll" tabIndex={0} role="region" aria-label="What is to be ordered"><table>
        <thead><tr><th scope="col">Part</th><th scope="col">How many</th><th scope="col">Sizes and tolerances</th><th scope="col">For</th>{prices && <th scope="col">Price</th>}<th scope="col">Answer</th></tr></thead>
        <tbody>{lines.map((l) => <Row key={l.part} l={l} prices={prices} />)}</tbody>
      </table></div>
      {prices && of.sums.length > 0 && lines.length === of.lines.length && <p class="figure">Together {of.sums.join(', ')}</p>}
      <Sketches lines={lines} />
      {v.number1 !== undefined && <p>Places are counted from the {v.number1}, which has number 1.</p>}
      <p>What comes is measured against the sizes above before it is accepted. If one of them cannot be kept, please ask before it is made or sent.</p>
    </article>
  );
}

function Row({ l, prices }: { l: OrderLine; prices: boolean }) {
  return (
    <tr>
      <th scope="row"><b class="figure">{l.part}</b> {l.what}</th>
      <td class="figure">{l.count ?? <Blank />}</td>
      <td>{l.undersize !== undefined && <p class="figure">{l.undersize}</p>}{l.matters.map((m) => <p key={m.what}>{m.what}{m.want !== undefined && <>: <b class="figure">{m.want}</b></>}</p>)}{l.undersize === undefined && l.matters.length === 0 && <Blank />}</td>
      <td>{l.torn !== undefined ? <p><b>{l.torn}</b></p> : l.for_engine === undefined ? <p>both engines</p> : <EngineName e={l.for_engine} />}{l.for_place !== undefined && <p>{l.for_place}</p>}{l.decided !== undefined && <p class="fine">decided: {l.decided}</p>}{l.stale !== undefined && <p><b>Do not order before this is looked at again:</b> {l.stale}</p>}</td>
      {prices && <td class="figure">{l.price ?? ''}</td>}
      <td class="by-hand"> </td>
    </tr>
  );
}

/** A sketch for each line; what there is none of gets a box to draw it in. */
function Sketches({ lines }: { lines: readonly OrderLine[] }) {
  return (
    <div class="order-sketches">
      {lines.map((l) => (
        <figure key={l.part}>
          <figcaption><b class="figure">{l.part}</b> {l.what}</figcaption>
          {l.svg === undefined ? <p class="draw-in">Sketch, to be drawn by hand; not to scale.</p> : <Drawing svg={l.svg} label={`Sketch of ${l.part} ${l.what}, not to scale`} />}
        </figure>
      ))}
    </div>
  );
}

/** Room to write in what nobody has entered. */
const Blank = () => <span class="by-hand blank-box" aria-label="to be filled in by hand" role="img" />;
