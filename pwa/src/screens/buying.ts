// What is filled in when something is wanted, asked for, or ordered: the same
// for a part that has a story and for one that begins with its order.
import type { Engine } from '../core/types';
import { today } from '../app/state';
import { may, need, value, type FieldOf, type Values } from '../widgets/form';

export type Body = Record<string, unknown>;

const buying = ['wanted', 'asked', 'ordered'];

/** Whether a step of this state says what a part is for. */
export const saysFor = (state: string): boolean => buying.includes(state);

const unsaid = 'unsaid';

/** torn: two entries say otherwise of what it is for, so that nothing is filled in for whoever says it now, nor was before. */
export function stepFields(state: string, engines: Engine[], torn = false): FieldOf[] {
  const fields: FieldOf[] = [];
  if (state === 'asked' || state === 'ordered') fields.push(need('supplier', 'Supplier'), may('price', 'Price of one', '42.50'), may('money', 'Currency', 'EUR'));
  if (saysFor(state)) fields.push({ name: torn ? 'settles' : 'asm', label: 'For', options: [...(torn ? [[unsaid, 'choose'] as [string, string]] : []), ['', 'both engines'], ...engines.map((e): [string, string] => [e.asm, `${e.asm} ${e.name}`])] });
  if (saysFor(state) || state === 'received') fields.push(may('count', 'How many', '14'));
  if (state === 'asked') fields.push(may('answer', 'Their answer, when there is one'));
  if (state === 'asked' || state === 'ordered') fields.push(may('lead', 'Lead time', 'three weeks'));
  if (state === 'ordered') fields.push(may('due', 'Promised for', '2027-04-10'), may('waits', 'What it waits for', 'the crank, ground'), may('matters', 'What will be measured when it comes: size', 'wall = 2.225 to 2.230; fire ring = 109.0'));
  fields.push(may('note', 'Note'));
  return fields;
}

export function stepBody(state: string, f: Values): Body {
  const asm = f['settles'] ?? f['asm'] ?? '';
  if (asm === unsaid) throw new Error('Say which engine it is for: two entries say otherwise, and what you say now settles it.');
  const count = Number.parseInt(f['count'] ?? '', 10);
  const matters = (f['matters'] ?? '').split(';').map((m) => m.split('=')).filter((m) => (m[0] ?? '').trim() !== '' && (m[1] ?? '').trim() !== '').map(([what, want]) => ({ what: what?.trim(), want: want?.trim() }));
  const body: Body = { state, day: today(), ...(count > 0 ? { count } : {}), ...(matters.length > 0 ? { matters } : {}) };
  if (asm !== '') body['asm'] = asm;
  for (const name of ['supplier', 'answer', 'lead', 'due', 'waits', 'note']) if ((f[name] ?? '') !== '') body[name] = f[name];
  if ((f['price'] ?? '') !== '') body['price'] = value(f['price'] ?? '', f['money'] === '' || f['money'] === undefined ? 'EUR' : f['money']);
  return body;
}
