// One photo, large, with the marks that people drew over it. The photo itself
// never changes.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { PhotoMark, PhotoView } from '../core/types';
import { keep } from '../app/core';
import { href, say } from '../app/state';
import { drawing } from '../app/trusted';
import { Of, Problem, Section, useView, when } from '../widgets/basics';
import { Picture, type Size } from '../widgets/picture';
import { AimLayer, bodyOf, MarkForm, useAim } from './marking';

export function PhotoScreen({ id }: { id: string }) {
  const [size, setSize] = useState<Size>({ wide: 0, high: 0 });
  const aim = useAim(id);
  const { value: v, error } = useView<PhotoView>('photo', { id, ...size, draft: bodyOf(aim.value, id) });
  if (v === undefined) return <Problem error={error} />;
  return (
    <article class="photo-screen">
      {v.engine !== undefined && <Of engines={[v.engine]} />}
      <h1>{v.caption ?? v.where}</h1>
      <p class="point-words">{[v.caption === undefined ? '' : v.where, v.by, when(v.at)].filter((t) => t !== undefined && t !== '').join(', ')}</p>
      <div class="photo-columns">
        <div class={`stage ${size.high > size.wide ? 'tall' : ''}`}>
          <Picture sha={v.sha} alt={`Photo: ${v.caption ?? v.where}`} onSize={setSize} />
          {size.wide > 0 && <Overlay svg={v.svg} />}
          {size.wide > 0 && <AimLayer aim={aim} />}
        </div>
        <div>
          {size.wide > 0 && <MarkForm aim={aim} photo={v.id} />}
          {v.marks.length > 0 && <Section title="Marks"><ul class="notes">{v.marks.map((m) => <MarkLine key={m.id} m={m} />)}</ul></Section>}
          <p class="actions">
            {v.engine !== undefined && v.place !== undefined && <a class="button" href={href('point', { asm: v.engine.asm, at: v.place })}>To the place</a>}
            <a class="button" href={href('entry', { id: v.id })}>Its entry</a>
          </p>
        </div>
      </div>
    </article>
  );
}

function Overlay({ svg }: { svg: string }) {
  const host = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const el = drawing(svg);
    el.setAttribute('role', 'img');
    host.current?.replaceChildren(el);
  }, [svg]);
  return <div class="overlay" ref={host} />;
}

function MarkLine({ m }: { m: PhotoMark }) {
  const [error, setError] = useState<string | undefined>();
  const off = async () => {
    try {
      await keep({ kind: 'withdraw', body: { why: 'taken off the photo' }, over: [m.id] });
      say('The mark was taken off.');
    } catch (e) {
      setError((e as Error).message);
    }
  };
  return (
    <li class="mark-line">
      <span><b class="figure">{m.number}</b> {m.words} <span class="who">{m.by}, {when(m.at)}{m.contested === true && ', not settled: two corrections differ'}</span></span>
      <span class="actions">
        <a class="button" href={href('entry', { id: m.id })} aria-label={`Its entry: mark ${m.number}`}>Its entry</a>
        <button type="button" aria-label={`Take it off: mark ${m.number}`} onClick={() => void off()}>Take it off</button>
      </span>
      <Problem error={error} />
    </li>
  );
}
