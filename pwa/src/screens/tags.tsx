// Printing tags: one chooses what, the sheet below is what comes out of the
// printer. No tag names a side: an engine or a part may move.
import { useState } from 'preact/hooks';
import type { Engine, PrintedTag, TagsView } from '../core/types';
import { status } from '../app/core';
import { addressOf } from '../app/tag';
import { Band, EngineName, Problem, useView } from '../widgets/basics';
import { Qr } from '../widgets/qr';

type TagGroup = TagsView['groups'][number];

const keyOf = (g: TagGroup) => `${g.engine?.asm ?? ''} ${g.title}`;

export function TagsScreen() {
  const { value: v, error } = useView<TagsView>('tags');
  const [chosen, setChosen] = useState<string[]>([]);
  const [paper, setPaper] = useState<'a4' | 'letter'>('a4');
  if (v === undefined) return <Problem error={error} />;
  const turn = (k: string, on: boolean) => setChosen(on ? [...chosen, k] : chosen.filter((c) => c !== k));
  const groups = v.groups.filter((g) => chosen.includes(keyOf(g)));
  const tags = groups.flatMap((g) => g.tags.map((tag): [TagGroup, PrintedTag] => [g, tag]));
  return (
    <>
      <div class="tag-choice">
        <h1>Print tags</h1>
        <p>A tag opens its place when a phone's camera reads it, with no signal too. Under the code stands what can be typed; its last character tells a mistyping. No tag names a side.</p>
        <div class="tag-groups">{choices(v).map(([title, engine, list]) => <Choices key={title} title={title} engine={engine} list={list} chosen={chosen} turn={turn} />)}</div>
        <div class="sitting">
          <label>Paper<select value={paper} onChange={(e) => setPaper(e.currentTarget.value as 'a4' | 'letter')}><option value="a4">A4</option><option value="letter">Letter</option></select></label>
        </div>
        <p role="status" data-testid="tag-count">{tags.length === 0 ? 'Choose what to print.' : `${tags.length} ${tags.length === 1 ? 'tag' : 'tags'} to print.`}</p>
        <button type="button" class="wide primary" disabled={tags.length === 0} onClick={() => print()}>Print</button>
      </div>
      <ul class={`tags ${paper}`} aria-label="Tags to print">{tags.map(([g, tag]) => <OneTag key={tag.code} g={g} tag={tag} />)}</ul>
    </>
  );
}

/** The groups by engine; parts and stands together at the end. */
function choices(v: TagsView): [string, Engine | undefined, TagGroup[]][] {
  const serials = [...new Set(v.groups.map((g) => g.engine?.asm ?? ''))];
  return serials.map((asm) => {
    const list = v.groups.filter((g) => (g.engine?.asm ?? '') === asm);
    return [asm === '' ? 'Of no one engine' : asm, list[0]?.engine, list];
  });
}

function Choices({ title, engine, list, chosen, turn }: { title: string; engine: Engine | undefined; list: TagGroup[]; chosen: string[]; turn: (key: string, on: boolean) => void }) {
  return (
    <section class="part" aria-labelledby={`tags-${title}`}>
      <h2 id={`tags-${title}`}>{engine === undefined ? title : <EngineName e={engine} />}</h2>
      {list.map((g) => (
        <label key={keyOf(g)} class="choice">
          <input type="checkbox" checked={chosen.includes(keyOf(g))} onChange={(e) => turn(keyOf(g), e.currentTarget.checked)} />
          <span>{g.title} <span class="count">{g.tags.length}</span></span>
        </label>
      ))}
    </section>
  );
}

function OneTag({ g, tag }: { g: TagGroup; tag: PrintedTag }) {
  return (
    <li class="paper-tag">
      <Qr text={addressOf(location.origin, status.value.job, tag.address)} />
      <div class="tag-words">
        {g.engine !== undefined && (
          <p class="tag-engine"><Band kind={g.engine.band} /><span><b class="figure">{g.engine.asm}</b> {g.engine.name}</span></p>
        )}
        {tag.words !== g.engine?.name && <p class="tag-what">{tag.words}</p>}
        {tag.under !== undefined && <p class="tag-under">{tag.under}</p>}
        <p class="tag-code figure">{tag.code.split(' ').map((w, i) => <span key={i}>{w} </span>)}</p>
      </div>
    </li>
  );
}
