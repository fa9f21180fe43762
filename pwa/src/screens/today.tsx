// Today: what cannot go on, what to look at again, what can be done now.
import type { LeadLine, LeadView } from '../core/types';
import { href } from '../app/state';
import { taker } from './hands';
import { later } from '../widgets/later';
import { Problem, Section, useView } from '../widgets/basics';

const Came = later(async () => (await import('./came')).Came);
const Silent = later(async () => (await import('./came')).Silent);

const shape: Record<string, string> = { stop: '■', look: '◐', now: '▷' };

export function TodayScreen() {
  const { value: v, error } = useView<LeadView>('lead', { me: taker() });
  if (v === undefined) return <Problem error={error} />;
  return (
    <>
      <h1>Today</h1>
      <p class="actions"><a class="button" href={href('stages')}>Stages and hold points</a> <a class="button" href={href('snags')}>Snags: {v.snags === 0 ? 'none open' : `${v.snags} open`}</a></p>
      <Silent />
      <Came />
      {v.groups.map((g) => (
        <Section key={g.title} title={`${g.title} (${g.lines.length})`} id={g.word}>
          {g.lines.length === 0 && <p class="empty">Nothing.</p>}
          <ul class="lines">{g.lines.map((l, i) => <TodayLine key={i} l={l} mark={shape[g.word] ?? ''} kind={g.word} />)}</ul>
        </Section>
      ))}
    </>
  );
}

function TodayLine({ l, mark, kind }: { l: LeadLine; mark: string; kind: string }) {
  const { screen, ...params } = l.open;
  return (
    <li>
      <a class={`line today ${kind}`} href={href(screen, params)}>
        <span class="line-title">{l.title}</span>
        <span class="verdict"><span aria-hidden="true">{mark}</span> <span class="word">{l.word}</span></span>
        <span class="line-says">{l.says}</span>
      </a>
    </li>
  );
}
