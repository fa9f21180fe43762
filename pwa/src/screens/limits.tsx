// Limits: what stands, what common practice offers where nothing does, and the
// form to set one. An offer judges nothing until a lead takes it.
import { useState } from 'preact/hooks';
import type { JobView, LimitOf, LimitsView } from '../core/types';
import { keep, status, view } from '../app/core';
import { href, say } from '../app/state';
import { wide } from '../app/wide';
import { Problem, Section, useView } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { Form, may, value } from '../widgets/form';
import { Shots } from '../widgets/shots';

const accepted = () => (status.value.role === 'lead' ? status.value.person : undefined);

export function Limits({ job }: { job: JobView }) {
  const accept = async (l: JobView['limits'][number]) => {
    await keep({ kind: 'limit', body: { ...(l.body as object), accepted: accepted() }, over: [l.id] });
    say('Limit accepted.');
  };
  const line = (l: JobView['limits'][number]) => (
    <li key={l.id}>
      <b>{l.title}{l.asm === undefined ? '' : `, ${l.asm} only`}</b>: <span class="figure">{l.says}</span> <span class="fine">'{l.words}'{l.page === undefined ? '' : `, ${l.page}`}</span>{' '}
      {l.also !== undefined && <span class="figure">also {l.also} </span>}
      {l.doubt !== undefined && <span class="problem">In doubt: {l.doubt}. Look at the page before it is accepted.</span>}
      {l.accepted ? <span class="fine">· accepted by {l.by}</span> : <b>not accepted</b>}{' '}
      {l.photos.map((p) => <a key={p.id} class="button link" href={href('photo', { id: p.id })}>photo of the page</a>)}
      {!l.accepted && status.value.role === 'lead' && <button type="button" onClick={() => void accept(l)}>Accept it</button>}
    </li>
  );
  const open = job.limits.filter((l) => !l.accepted);
  const settled = job.limits.filter((l) => l.accepted);
  return (
    <Section title="Limits">
      {open.length > 0 && <ul class="plain-list">{open.map(line)}</ul>}
      {settled.length > 0 && (
        <details open={wide.value}>
          <summary>Accepted ({settled.length})</summary>
          <ul class="plain-list">{settled.map(line)}</ul>
        </details>
      )}
      <Offers />
    </Section>
  );
}

/** Figures of common practice, where no limit is set. Anybody may propose one; only the lead makes it judge. */
function Offers() {
  const { value: v } = useView<LimitsView>('limits');
  const [error, setError] = useState<string | undefined>();
  const lead = status.value.role === 'lead';
  const offers = (v?.types ?? []).flatMap((t) => t.limits.filter((l) => l.offer !== undefined).map((l) => ({ type: t.name, l })));
  if (offers.length === 0) return null;
  const take = async (l: LimitOf) => {
    try {
      await keep({ kind: 'limit', body: { ...l.offer?.body, accepted: accepted() } });
      say(lead ? 'Taken as your own limit.' : 'Proposed. The lead decides.');
    } catch (e) {
      setError((e as Error).message);
    }
  };
  return (
    <details>
      <summary>Not set; what is common practice ({offers.length})</summary>
      <p>No source stands behind these, and none was made for your engine. The maker's figure comes before any of them. Nothing is judged by one until the lead takes it.</p>
      <Problem error={error} />
      <ul class="plain-list">
        {offers.map(({ type, l }) => (
          <li key={type + l.name}>
            <b>{l.words}</b>: <span class="figure">{l.offer?.says}</span> <span class="fine">{l.offer?.words}. {type}</span>
            <button class="wide" type="button" onClick={() => void take(l)}>{lead ? 'Take it as ours' : 'Propose it'}</button>
          </li>
        ))}
      </ul>
    </details>
  );
}

/** The choice of one engine alone: no engine type's short name has a '/'. */
const one = (asm: string) => `one/${asm}`;

/** What stands for that limit of that type or engine already. */
const standing = (v: LimitsView | undefined, whose: string, limit: string) =>
  (v?.set ?? []).filter((s) => s.limit === limit && (whose.startsWith(one('')) ? s.asm === whose.slice(one('').length) : s.asm === undefined && s.pattern === whose));

/** What stands for the printed words when a photo of the page shows them. */
const seePhoto = 'see the photo of the page';

export function SetLimit() {
  const draft = 'limit:shots';
  const [shots, setShots, shotsKept] = useDraft<string[]>(draft, []);
  const { value: v } = useView<LimitsView>('limits');
  const types = v?.types ?? [];
  if (types.length === 0) return <p class="empty">An engine type comes first.</p>;
  return (
    <>
      <p>A limit is somebody's word: the number, who says so, and the page. A limit from another engine is not one for yours.</p>
      <Form button="Keep the limit" draft="limit" fields={(now) => {
        const whose = now['pattern'] ?? '';
        const limits = (types.find((t) => t.key === whose || (t.engines ?? []).some((e) => one(e.asm) === whose)) ?? types[0])?.limits ?? [];
        const of = limits.find((l) => l.name === now['limit']) ?? limits[0];
        const old = standing(v, whose === '' ? (types[0]?.key ?? '') : whose, of?.name ?? '');
        return [
          { name: 'pattern', label: 'For', options: types.flatMap((t): [string, string][] => [[t.key, `all engines of type ${t.name}`], ...(t.engines ?? []).map((e): [string, string] => [one(e.asm), `${e.asm} ${e.name} only`])]) },
          { name: 'limit', label: 'Of what', options: limits.map((l) => [l.name, l.words]) },
          may('min', 'At least'), may('max', 'At most'),
          { name: 'unit', label: 'In', options: (of?.units ?? []).map((u) => [u.code, u.symbol === '' ? 'a plain number' : u.symbol]) },
          may('also_min', 'Printed in another unit too: at least'), may('also_max', 'Printed in another unit too: at most'),
          { name: 'also_unit', label: 'The other unit', options: (of?.units ?? []).filter((u) => u.code !== (now['unit'] ?? of?.units[0]?.code)).map((u) => [u.code, u.symbol === '' ? 'a plain number' : u.symbol]) },
          ...(of?.pressures === undefined ? [] : [
            may('test_pressure', 'Tested at: the pressure that it asks for'), { name: 'test_unit', label: 'The pressure in', options: of.pressures.map((u): [string, string] => [u.code, u.symbol]) },
            may('test_time', 'Held for: the minutes that it asks for'),
          ]),
          { name: 'judged', label: 'Judged', options: [['read', 'as read: a workshop limit'], ['margin', 'with margin: it must be proven']], about: 'judged' },
          { name: 'words', label: `${shots.length > 0 ? 'As printed, word for word; or leave it to the photo' : 'As printed, word for word; or take a photo of the page'}${old.length === 0 ? '' : `; it takes the place of ${old.map((o) => `${o.says}, '${o.words}'`).join(' and ')}`}`, need: shots.length === 0 }, may('page', 'Page, and of which book'),
        ];
      }} make={async (x, ended) => {
        const u = x['unit'] ?? '';
        const whose = x['pattern'] ?? '';
        const also = x['also_unit'] ?? '';
        const printed = { min: value(x['min'] ?? '', u), max: value(x['max'] ?? '', u), also_min: value(x['also_min'] ?? '', also), also_max: value(x['also_max'] ?? '', also) };
        const { doubt } = await view<{ doubt?: string }>('printed', printed);
        const body = {
          ...printed, test_pressure: value(x['test_pressure'] ?? '', x['test_unit'] ?? ''), test_time: value(x['test_time'] ?? '', 'min'), limit: x['limit'], ...(whose.startsWith(one('')) ? { asm: whose.slice(one('').length) } : { pattern: whose }), judged: x['judged'],
          words: x['words'] === '' ? seePhoto : x['words'], ...(shots.length > 0 ? { photos: shots } : {}), page: x['page'] === '' ? undefined : x['page'],
          accepted: doubt === undefined ? accepted() : undefined, // what is in doubt is looked at once more before it judges
        };
        await keep({ kind: 'limit', body, over: standing(v, whose, x['limit'] ?? '').map((o) => o.id) }, [...ended, draft]);
        shotsKept();
      }}>
        <Shots words="the page of a limit" shots={shots} onShot={(id) => setShots([...shots, id])} />
      </Form>
    </>
  );
}
