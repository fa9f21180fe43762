// Snags: what is wrong at a place, on an engine, or everywhere, and raising one.
import { useState } from 'preact/hooks';
import type { SnagLine, SnagsView } from '../core/types';
import { keep } from '../app/core';
import { go, href, route, say, today } from '../app/state';
import { EngineName, Problem, Section, spoken, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import { AsTable } from '../widgets/table';
import { Shots } from '../widgets/shots';

export const snagMarks: Record<SnagLine['state'], string> = { raised: '■', reopened: '■', cured: '◐', proven: '◆', contested: '◐', struck: '–', waits: '…' };

export function SnagsScreen({ asm, at }: { asm: string; at: string }) {
  const { value: v, error } = useView<SnagsView>('snags', { asm, at, today: today() });
  if (v === undefined) return <Problem error={error} />;
  return (
    <div class="snags">
      <h1>Snags{v.place !== undefined && <span class="point-words">{v.place}</span>}</h1>
      {v.of === undefined ? (
        <p class="actions">{v.engines.map((e) => <a key={e.asm} class="button" href={href('snags', { asm: e.asm })}>Raise one on {e.asm} {e.name}</a>)}</p>
      ) : (
        <>
          <Raise v={v} asm={asm} at={at} />
          <p class="actions">{at !== '' && <a class="button" href={href('snags', { asm })}>All of {asm}</a>}<a class="button" href={href('snags')}>Both engines</a></p>
        </>
      )}
      <AsTable title="Snags" rows={[...v.open, ...v.closed].map((s) => ({ key: s.id, cells: { what: { text: s.what, show: <a href={href('snag', { id: s.id, asm: s.asm })}>{s.what}</a> }, asm: s.asm, place: s.place, rate: s.rate, word: s.word, by: s.by, at: when(s.at) } }))}
        columns={[{ key: 'what', head: 'What is wrong' }, { key: 'asm', head: 'Engine', figure: true }, { key: 'place', head: 'Place' }, { key: 'rate', head: 'How much' }, { key: 'word', head: 'State' }, { key: 'by', head: 'Raised by' }, { key: 'at', head: 'Raised', figure: true }]} />
      <Section title={`Open (${v.open.length})`}>
        {v.open.length === 0 && <p class="empty">Nothing is open here.</p>}
        <ul class="lines">{v.open.map((s) => <SnagRow key={s.id} s={s} />)}</ul>
      </Section>
      {v.closed.length > 0 && (
        <details>
          <summary>Seen dry or taken back ({v.closed.length})</summary>
          <ul class="lines">{v.closed.map((s) => <SnagRow key={s.id} s={s} />)}</ul>
        </details>
      )}
    </div>
  );
}

function SnagRow({ s }: { s: SnagLine }) {
  return (
    <li>
      <a class={`line snag ${s.state}`} href={href('snag', { id: s.id, asm: s.asm })}>
        <span class="line-title"><b class="figure">{s.asm}</b>{s.place !== undefined && ` · ${s.place}`}: {s.what}</span>
        <span class="verdict"><span aria-hidden="true">{snagMarks[s.state]}</span> <span class="word">{s.word}</span></span>
        <span class="line-says">{[s.stop === true ? 'not run until it is seen dry' : '', s.rate, s.age === undefined ? '' : `open ${s.age}`, s.not_proven, `${s.by}, ${when(s.at)}`].filter((t) => t !== undefined && t !== '').join(' · ')}</span>
      </a>
    </li>
  );
}

interface Draft { what: string; rate: string; stop: boolean; shots: string[] }

/** What is filled in, and the photos taken for it, outlive a reload (T3). */
function Raise({ v, asm, at }: { v: SnagsView; asm: string; at: string }) {
  const draft = `snag:${asm}/${at}`;
  const [d, setD, dKept] = useDraft<Draft>(draft, { what: route.value['what'] ?? '', rate: '', stop: false, shots: [] });
  const [problem, setProblem] = useState<string | undefined>();
  if (v.engine === undefined || v.of === undefined) return null;
  const { engine, of } = v;
  const raise = async (e: Event) => {
    e.preventDefault();
    try {
      const body: Record<string, unknown> = { state: 'raised', of, what: d.what.trim() };
      if (d.rate.trim() !== '') body['rate'] = d.rate.trim();
      if (d.stop) body['stop'] = true;
      if (d.shots.length > 0) body['photos'] = d.shots;
      const { id } = await keep({ kind: 'snag', body }, [draft]);
      dKept();
      say('Raised, and saved on this phone.');
      go('snag', { id, asm });
    } catch (x) {
      setProblem((x as Error).message);
    }
  };
  return (
    <form class="raise" onSubmit={(e) => void raise(e)}>
      <h2>Raise a snag</h2>
      <p><EngineName e={engine} />{v.place !== undefined && ` · ${v.place}`}</p>
      <label>What is wrong, and where exactly<textarea rows={2} value={d.what} onInput={(e) => setD({ ...d, what: e.currentTarget.value })} required /></label>
      <label>How much, and when<input value={d.rate} placeholder="20 drops a minute, hot, at 800 rpm" onInput={(e) => setD({ ...d, rate: e.currentTarget.value })} /></label>
      <label class="choice"><input type="checkbox" checked={d.stop} onChange={(e) => setD({ ...d, stop: e.currentTarget.checked })} /> not run until it is seen dry</label>
      <Shots of={of} words={`a snag of ${[asm, v.place].filter((t) => t !== undefined).join(', ')}`} shots={d.shots} onShot={(id) => setD({ ...d, shots: [...d.shots, id] })} />
      <Problem error={problem} />
      <button type="submit" class="keep">Raise it: {spoken(engine)}</button>
    </form>
  );
}
