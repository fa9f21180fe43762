// One part: what it is, where it is, its story, and the next step. What came is
// measured line by line against what was ordered before it is accepted.
import { useState } from 'preact/hooks';
import type { PartStep, PartView, Photo } from '../core/types';
import { keep } from '../app/core';
import { href, say, today } from '../app/state';
import { Caution, Of, Problem, Section, sentence, spoken, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { Form, may, value, type Values } from '../widgets/form';
import { Picture } from '../widgets/picture';
import { Table } from '../widgets/table';
import { Shots } from '../widgets/shots';
import { saysFor, stepBody, stepFields, type Body } from './buying';
import { origins } from './parts';

export function PartScreen({ part }: { part: string }) {
  const { value: v, error } = useView<PartView>('part', { part });
  if (v === undefined) return <Problem error={error} />;
  const facts = [v.undersize, v.origin, v.batch === undefined ? undefined : `batch ${v.batch}`, v.papers, v.stored === undefined ? undefined : `lies: ${v.stored}`].filter((t) => t !== undefined);
  return (
    <article class="one-part">
      <h1><span class="figure">{v.part}</span> {v.what}<span class="point-words">{facts.join(' · ')}</span></h1>
      <p class={`verdict big ${v.contest !== undefined ? 'contested' : v.doubt !== undefined ? 'outside' : ''}`}><span class="word">{v.word}</span></p>
      {v.contest === undefined && v.engine !== undefined && <Of engines={[v.engine]}>{v.place !== undefined && ` · ${v.place}`}{v.since !== undefined && `, since ${v.since}`}</Of>}
      {v.contest === undefined && v.for_engine !== undefined && <Of engines={[v.for_engine]}>{` · wanted for ${v.for_place ?? 'the engine'}`}</Of>}
      {v.torn !== undefined && <p class="problem">{sentence(v.torn)} Two entries say otherwise, and neither knows of the other: {v.next.some(saysFor) ? 'say it with what comes next.' : 'where it is fitted settles it.'}</p>}
      {v.doubt !== undefined && <p class="problem">{sentence(v.doubt)}</p>}
      {v.contest !== undefined && <p class="actions"><a class="button" href={href('contest', { id: v.contest })}>Settle where it is</a></p>}
      {v.early.map((t) => <p key={t} class="notice">{t}</p>)}
      <Photos photos={v.photos} />
      {v.contest === undefined && <Next v={v} />}
      <Story v={v} />
      <PutRight v={v} />
      <p class="actions"><a class="button" href={href('parts')}>All parts</a>{v.batch !== undefined && <a class="button" href={href('parts', { batch: v.batch })}>All of batch {v.batch}</a>}<a class="button" href={href('orders')}>Orders</a></p>
    </article>
  );
}

const words: Record<string, string> = {
  wanted: 'It is wanted', asked: 'A supplier was asked', ordered: 'It was ordered', received: 'It came', accepted: 'Take it in', rejected: 'Reject it', machined: 'It was machined', fitted: 'Fit it',
  removed: 'Take it out', sent: 'Send it away', 'sent back': 'Send it back', scrapped: 'Scrap it',
};

/** The steps that may come next, one open at a time. */
function Next({ v }: { v: PartView }) {
  const steps = v.next.filter((s) => s !== 'rejected' || !v.next.includes('accepted')); // the card does both
  const [open, setOpen] = useState('');
  const chosen = steps.includes(open) ? open : '';
  return (
    <Section title="What comes next">
      <p class="actions">{steps.map((s) => <button key={s} type="button" aria-pressed={s === chosen} onClick={() => setOpen(s === chosen ? '' : s)}>{words[s] ?? s}</button>)}</p>
      {chosen === 'accepted' ? <Card key={v.part} v={v} /> : chosen === 'fitted' ? <Fit v={v} /> : chosen !== '' && <Step key={chosen} v={v} state={chosen} done={() => setOpen((now) => (now === chosen ? '' : now))} />}
    </Section>
  );
}

/** A step follows what is known of the part; two that follow the same one are contested. */
const write = (v: PartView, body: Body, finished: string[] = []) => keep({ kind: v.step.kind, body: { ...v.step.body, ...body }, after: v.step.after }, finished);

function Step({ v, state, done }: { v: PartView; state: string; done: () => void }) {
  const make = async (f: Values, ended: string[]) => {
    await write(v, stepBody(state, f), ended);
    done();
  };
  return <Form draft={`part:${v.part}:${state}`} start={v.torn === undefined ? { asm: v.for_engine?.asm ?? '' } : {}} fields={stepFields(state, v.fits.map((f) => f.engine), v.torn !== undefined)} button={`Keep: ${state}`} make={make} />;
}

/** Goods inward: every line is answered; one answered no is a rejection, or a concession with its reason. */
function Card({ v }: { v: PartView }) {
  const draft = `inward:${v.part}`;
  const [d, setD, dKept] = useDraft<{ got: string[]; good: string[]; note: string; shots: string[] }>(draft, { got: [], good: [], note: '', shots: [] });
  const [problem, setProblem] = useState<string | undefined>();
  const set = (list: string[], i: number, t: string) => Object.assign([...list], { [i]: t });
  const take = async (state: 'accepted' | 'rejected') => {
    const open = v.card.find((_, i) => (d.good[i] ?? '') === '');
    if (open !== undefined) return setProblem(`Not answered yet: ${open.what}.`);
    const inward = v.card.map((c, i) => ({ what: c.what, ...(c.want === '' ? {} : { want: c.want }), ...((d.got[i] ?? '').trim() === '' ? {} : { got: d.got[i]?.trim() }), answer: d.good[i] }));
    if (state === 'accepted' && inward.some((l) => l.answer === 'no') && d.note.trim() === '') return setProblem('A line will not do: say why it is taken all the same, or reject it.');
    try {
      await write(v, { state, day: today(), inward, ...(d.shots.length > 0 ? { photos: d.shots } : {}), ...(d.note.trim() === '' ? {} : { note: d.note.trim() }) }, [draft]);
      dKept();
      say(state === 'accepted' ? 'Accepted.' : 'Rejected.');
    } catch (e) {
      setProblem((e as Error).message);
    }
  };
  return (
    <div class="inward" role="group" aria-label="Goods inward">
      <Caution texts={[v.caution]} />
      {v.card.map((c, i) => (
        <fieldset key={c.what}>
          <legend>{c.what}{c.want !== '' && <>, ordered <b class="figure">{c.want}</b></>}</legend>
          <label>As measured, or seen<input class="figure" autocapitalize="off" value={d.got[i] ?? ''} onInput={(e) => setD({ ...d, got: set(d.got, i, e.currentTarget.value) })} /></label>
          <div class="switch">
            {[['yes', 'Will do'], ['no', 'Will not do']].map(([k, w]) => <button key={k} type="button" aria-pressed={d.good[i] === k} aria-label={`${w}: ${c.what}`} onClick={() => setD({ ...d, good: set(d.good, i, k ?? '') })}>{w}</button>)}
          </div>
        </fieldset>
      ))}
      <p class="fine">The parcel with its label, and the part beside a rule:</p>
      <Shots words={`goods inward, ${v.part}`} shots={d.shots} onShot={(id) => setD({ ...d, shots: [...d.shots, id] })} />
      <label>Remark, or the reason<textarea rows={2} value={d.note} onInput={(e) => setD({ ...d, note: e.currentTarget.value })} /></label>
      <Problem error={problem} />
      <button type="button" class="keep" onClick={() => void take('accepted')}>Accept {v.part}</button>
      <button type="button" class="wide" onClick={() => void take('rejected')}>Reject it</button>
    </div>
  );
}

/** Into which engine, and where: never assumed. */
function Fit({ v }: { v: PartView }) {
  const draft = `fit:${v.part}`;
  const [d, setD, dKept] = useDraft(draft, { asm: '', at: '', as: '' });
  const { asm, at, as } = d;
  const [problem, setProblem] = useState<string | undefined>();
  const fit = v.fits.find((f) => f.engine.asm === asm);
  const make = async (e: Event) => {
    e.preventDefault();
    try {
      await write(v, { state: 'fitted', asm, day: today(), ...(v.as === undefined ? { as: as.trim() } : {}), ...(at === '' ? {} : { at }) }, [draft]);
      dKept();
      say(`${v.part} is in ${asm}.`);
    } catch (x) {
      setProblem((x as Error).message);
    }
  };
  return (
    <form onSubmit={(e) => void make(e)}>
      <label>Into<select value={asm} onChange={(e) => setD({ ...d, asm: e.currentTarget.value, at: '' })} required><option value="">choose the engine</option>{v.fits.map((f) => <option key={f.engine.asm} value={f.engine.asm}>{f.engine.asm} {f.engine.name}, {f.engine.where}</option>)}</select></label>
      {fit !== undefined && <label>At<select value={at} onChange={(e) => setD({ ...d, at: e.currentTarget.value })}><option value="">the engine as a whole</option>{fit.places.map((p) => <option key={p.at} value={p.at}>{p.words}</option>)}</select></label>}
      {v.as === undefined && <label>As<input value={as} onInput={(e) => setD({ ...d, as: e.currentTarget.value })} placeholder="gasket, liner, chain" required /></label>}
      <Problem error={problem} />
      <button type="submit" class="keep" disabled={fit === undefined}>{fit === undefined ? 'Fit it' : `Fit ${v.part} into ${spoken(fit.engine)}`}</button>
    </form>
  );
}

function Story({ v }: { v: PartView }) {
  return (
    <Section title="Its story">
      <ul class="readings">{v.story.map((s) => <StepRow key={s.id} s={s} />)}</ul>
    </Section>
  );
}

function StepRow({ s }: { s: PartStep }) {
  return (
    <li>
      <a class="reading" href={href('entry', { id: s.id })}>
        <b>{s.state}</b><span>{[s.where, ...s.says].filter((t) => t !== undefined).join(' · ')}</span>
        <span class="word">{[s.on, s.by, s.note].filter((t) => t !== undefined).join(', ')}</span>
      </a>
      <Photos photos={s.photos} />
      {s.card.length > 0 && (
        <Table title={`Goods-inward card of ${s.on}`} columns={[{ key: 'what', head: 'What' }, { key: 'want', head: 'Ordered', figure: true }, { key: 'got', head: 'As found', figure: true }, { key: 'good', head: 'Will it do' }]}
          rows={s.card.map((l) => ({ key: l.what, cells: { what: l.what, want: l.want, got: l.got, good: l.good ? 'yes' : 'no' } }))} />
      )}
    </li>
  );
}

function Photos({ photos }: { photos: Photo[] }) {
  if (photos.length === 0) return null;
  return <div class="photos">{photos.map((p) => <figure key={p.id}><a class="photo-open" href={href('photo', { id: p.id })} aria-label={`Open the photo of ${when(p.at)}`}><Picture sha={p.sha} alt="" /></a></figure>)}</div>;
}

/** What it is can be put right; what it was called stays in the record. */
function PutRight({ v }: { v: PartView }) {
  const b = v.known.body;
  const now = (name: string) => (typeof b[name] === 'string' ? (b[name] as string) : '');
  const make = async (f: Values, ended: string[]) => {
    const body: Body = { ...b };
    for (const name of ['what', 'as', 'origin', 'batch', 'papers', 'stored']) {
      if ((f[name] ?? '') !== '') body[name] = f[name];
    }
    if ((f['undersize'] ?? '') !== '') body['undersize'] = value(f['undersize'] ?? '', 'mm');
    if (body['what'] === '') throw new Error('Say what it is.');
    await keep({ kind: v.known.kind, body, over: v.known.over }, ended);
  };
  return (
    <details>
      <summary>Say more, or put right what it is</summary>
      <Form key={v.part} button="Keep" draft={`part:${v.part}:known`} make={make} fields={[may('what', 'What it is', now('what')), may('as', 'Serves as', now('as')),
        { name: 'origin', label: 'Where it is from', options: [['', now('origin') === '' ? 'not known' : `as it is: ${now('origin')}`], ...origins.map((o): [string, string] => [o, o])] },
        may('batch', 'Batch', now('batch')), may('papers', 'Papers', now('papers')), may('undersize', 'Undersize, mm', '0.50'), may('stored', 'Where it lies', now('stored'))]} />
    </details>
  );
}
