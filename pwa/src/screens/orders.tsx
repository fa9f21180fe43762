// Orders for both engines at once, by supplier: one freight bill. Each line
// says what it waits for; what is wanted begins here with one keep.
import type { OrderLine, OrdersView } from '../core/types';
import { keep } from '../app/core';
import { href, today } from '../app/state';
import { EngineName, Problem, Section, useView } from '../widgets/basics';
import { Form, may, need, type Values } from '../widgets/form';
import { AsTable } from '../widgets/table';
import { stepBody, stepFields } from './buying';

export function OrdersScreen() {
  const { value: v, error } = useView<OrdersView>('orders', { today: today() });
  if (v === undefined) return <Problem error={error} />;
  return (
    <>
      <h1>Orders<span class="point-words">both engines, by supplier</span></h1>
      <p class="actions"><a class="button" href={href('parts')}>All parts</a></p>
      <AsTable title="Orders" rows={v.suppliers.flatMap((s) => s.lines.map((l) => ({ key: l.part, cells: { ...rowOf(l), supplier: s.supplier, part: { text: l.part, show: <a href={href('part', { part: l.part })}>{l.part}</a> } } })))}
        columns={[{ key: 'part', head: 'Part' }, { key: 'what', head: 'What' }, { key: 'supplier', head: 'Supplier' }, { key: 'for', head: 'For' }, { key: 'count', head: 'How many', figure: true },
          { key: 'one', head: 'Price of one', figure: true }, { key: 'total', head: 'Together', figure: true }, { key: 'money', head: 'Currency' }, { key: 'due', head: 'Promised for', figure: true }, { key: 'word', head: 'State' }, { key: 'waits', head: 'Waits for' }]} />
      {v.suppliers.length === 0 && <p class="empty">Nothing is wanted or on order.</p>}
      {v.suppliers.map((s) => (
        <Section key={s.supplier} title={s.supplier === '' ? 'No supplier yet' : s.supplier}>
          <ul class="lines">{s.lines.map((l) => <OneOrder key={l.part} l={l} />)}</ul>
          {s.sums.length > 0 && <p class="figure">Together {s.sums.join(', ')}</p>}
          <p class="actions"><a class="button" href={href('ordersheet', { supplier: s.supplier })}>Order sheet to print</a></p>
        </Section>
      ))}
      <Something v={v} />
    </>
  );
}

const rowOf = (l: OrderLine) => ({ what: l.what, for: l.torn !== undefined ? 'not settled' : l.for_engine?.asm ?? 'both', count: l.count, one: l.one, total: l.total, money: l.money, due: l.due, word: l.word, waits: l.waits.join('; ') });

function OneOrder({ l }: { l: OrderLine }) {
  const price = l.total === undefined || l.count === undefined ? l.price : `${l.count} × ${l.price} = ${l.total}\u2009${l.money}`;
  return (
    <li>
      <a class="line" href={href('part', { part: l.part })}>
        <span class="line-title"><b class="figure">{l.part}</b> {l.what}{l.count !== undefined && <span class="figure"> × {l.count}</span>}</span>
        <span class="verdict"><span class="word">{l.word}</span></span>
        <span class="line-says">{l.torn ?? (l.for_engine === undefined ? 'for both engines' : <EngineName e={l.for_engine} />)}</span>
        <span class="line-says">waits for {l.waits.join('; ')}{price !== undefined && <span class="figure"> · {price}</span>}</span>
      </a>
    </li>
  );
}

const states: [string, string][] = [['wanted', 'wanted: nobody was asked yet'], ['asked', 'a supplier was asked'], ['ordered', 'it is ordered']];

/** One entry says what it is and how far its buying is. */
function Something({ v }: { v: OrdersView }) {
  const make = async (f: Values, ended: string[]) => {
    const part = f['part'] ?? '';
    if (v.tags.includes(part)) throw new Error(`${part} is there already: open it, and say the next step of it there.`);
    const what = { part, what: f['what'], ...((f['as'] ?? '') === '' ? {} : { as: f['as'] }) };
    await keep({ kind: 'part', body: { ...stepBody(f['state'] ?? 'wanted', f), ...what } }, ended);
  };
  return (
    <details>
      <summary>Something is wanted, or ordered</summary>
      <Form button="Keep it" draft="order" make={make} fields={(now) => [need('part', 'Tag, or lot', 'GK-10'), need('what', 'What it is', 'head gasket'), may('as', 'Serves as', 'gasket, liner, shells, chain'), { name: 'state', label: 'It is', options: states },
        ...stepFields(now['state'] ?? 'wanted', v.engines)]} />
    </details>
  );
}
