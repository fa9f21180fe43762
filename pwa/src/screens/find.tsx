// Finding: what is typed is looked for in everything that the job holds; with
// nothing typed, the places this phone was at last.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Found, SearchView } from '../core/types';
import { status } from '../app/core';
import { recent } from '../app/recent';
import { href, route } from '../app/state';
import { wayIn } from '../app/tag';
import { EngineName, Problem, useView } from '../widgets/basics';

export function FindScreen() {
  const [q, setQ] = useState(route.value['q'] ?? '');
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => field.current?.focus(), []);
  const typed = (text: string) => {
    setQ(text);
    // On the way back the same words are found again; going to a find leaves one step, not one a letter.
    history.replaceState(null, '', href('find', { q: text }));
  };
  const enter = (e: Event) => {
    e.preventDefault();
    const way = wayIn(q);
    if (way !== undefined) location.hash = way;
  };
  return (
    <>
      <h1>Find</h1>
      <form role="search" onSubmit={enter}>
        <label>
          Place, number, tag, part, person, or words of a note
          <input ref={field} type="search" name="q" value={q} onInput={(e) => typed(e.currentTarget.value)} autocomplete="off" autocapitalize="off" spellcheck={false} enterkeyhint="search" />
        </label>
      </form>
      <Finds q={q} />
    </>
  );
}

function Finds({ q }: { q: string }) {
  const nothing = q.trim() === '';
  const { value: v, error } = useView<SearchView>('search', { q, me: status.value.person, recent: nothing ? recent.value : [] });
  if (v === undefined) return <Problem error={error} />;
  return (
    <div class="finds" aria-busy={v.q !== q} data-q={v.q}>
      <p class="fine" role="status" data-testid="found">{v.q.trim() === '' ? (v.count > 0 ? 'Where this phone was last:' : 'As in main 3, exhaust valve 2, 2123 liner, GK-7.') : v.says}</p>
      {v.trouble !== undefined && <p class="notice warn" role="alert">{v.trouble}</p>}
      {v.groups.map((g) => <Group key={`${g.title ?? ''} ${g.engines.map((e) => e.asm).join(' ')}`} g={g} />)}
    </div>
  );
}

function Group({ g }: { g: SearchView['groups'][number] }) {
  return (
    <section class="part found">
      <h2>
        {g.title}
        {g.engines.map((e) => <EngineName key={e.asm} e={e} />)}
      </h2>
      <ul class="lines">{g.lines.map((f) => <FoundLine key={href(f.open.screen, f.open) + f.title} f={f} />)}</ul>
    </section>
  );
}

function FoundLine({ f }: { f: Found }) {
  const { screen, ...params } = f.open;
  return (
    <li>
      <a class="line" href={href(screen, params)}>
        <span class="line-title">{f.asm.length > 0 && <b class="figure">{f.asm.join(' + ')} </b>}{f.title}</span>
        <span class="count">{f.kind}</span>
        {f.says !== undefined && <span class="line-says">{f.says}</span>}
      </a>
    </li>
  );
}
