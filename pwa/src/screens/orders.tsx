// Orders for both engines at once, by supplier: one freight bill. Each line
// says what it waits for.
import type { OrderLine, OrdersView } from '../core/types';
import { href, today } from '../app/state';
import { EngineName, Problem, Section, useView } from '../widgets/basics';

export function OrdersScreen() {
  const { value: v, error } = useView<OrdersView>('orders', { today: today() });
  if (v === undefined) return <Problem error={error} />;
  return (
    <>
      <h1>Orders<span class="point-words">both engines, by supplier</span></h1>
      <p class="actions"><a class="button" href={href('parts')}>All parts</a></p>
      {v.suppliers.length === 0 && <p class="empty">Nothing is wanted or on order.</p>}
      {v.suppliers.map((s) => (
        <Section key={s.supplier} title={s.supplier === '' ? 'No supplier yet' : s.supplier}>
          <ul class="lines">{s.lines.map((l) => <Row key={l.part} l={l} />)}</ul>
          <p class="actions"><a class="button" href={href('ordersheet', { supplier: s.supplier })}>Order sheet to print</a></p>
          {s.sums.length > 0 && <p class="figure">Together {s.sums.join(', ')}</p>}
        </Section>
      ))}
    </>
  );
}

function Row({ l }: { l: OrderLine }) {
  return (
    <li>
      <a class="line" href={href('part', { part: l.part })}>
        <span class="line-title"><b class="figure">{l.part}</b> {l.what}{l.count !== undefined && <span class="figure"> × {l.count}</span>}</span>
        <span class="verdict"><span class="word">{l.word}</span></span>
        <span class="line-says">{l.for_engine === undefined ? 'for both engines' : <EngineName e={l.for_engine} />}</span>
        <span class="line-says">waits for {l.waits.join('; ')}{l.price !== undefined && <span class="figure"> · {l.price}</span>}</span>
      </a>
    </li>
  );
}
