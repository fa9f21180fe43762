// Clutch tests: a table of tries with what came of each, and what is not tried
// yet. One tap on a field, one on the result; a figure and words if there are any.
import { useState } from 'preact/hooks';
import type { ClutchCell, ClutchView } from '../core/types';
import { keep } from '../app/core';
import { href, say } from '../app/state';
import { Band, Caution, EngineName, Problem, Section, useView, when } from '../widgets/basics';
import { useDraft } from '../widgets/draft';
import '../run.css';

const marks: Record<ClutchCell['state'], string> = { untried: '·', good: '●', bad: '✕', 'not sure': '?', differ: '≠' };

type Row = ClutchView['rows'][number];

const nameOf = (c: ClutchCell) => `${c.asm}, ${c.hot === true ? 'hot' : 'cold'}`;

export function ClutchScreen() {
  const { value: v, error } = useView<ClutchView>('clutch');
  const [picked, pick] = useState('');
  if (v === undefined) return <Problem error={error} />;
  return (
    <div class="run clutch">
      <h1>Clutch tests</h1>
      <div class="clutch-engines">{v.engines.map((e) => <p key={e.asm}><EngineName e={e} /></p>)}</div>
      <p data-testid="untried"><b>{v.untried === 0 ? 'Everything is tried.' : `${v.untried} not tried yet.`}</b></p>
      <Caution texts={[v.caution]} />
      {v.rows.map((r) => (
        <Section key={r.try} title={r.words}>
          <div class="cells">
            {r.cells.map((c) => {
              const key = `${r.try} ${nameOf(c)}`;
              return (
                <button key={key} type="button" class={`cell ${c.state.replace(' ', '-')}`} aria-pressed={picked === key} aria-label={`${c.asm} ${c.hot === true ? 'hot' : 'cold'} ${c.state}${c.figure === undefined ? '' : ` ${c.figure}`}, ${r.words}`} onClick={() => pick(picked === key ? '' : key)}>
                  <span class="cell-head"><Band kind={v.engines.find((e) => e.asm === c.asm)?.band ?? 'solid'} /> <b class="figure">{c.asm}</b> {c.hot === true ? 'hot' : 'cold'}</span>
                  <span class="cell-state"><span aria-hidden="true">{marks[c.state]}</span> {c.state}{c.figure === undefined ? '' : ` ${c.figure}`}</span>
                </button>
              );
            })}
          </div>
          {r.cells.filter((c) => picked === `${r.try} ${nameOf(c)}`).map((c) => <Tried key={picked} r={r} c={c} name={v.engines.find((e) => e.asm === c.asm)?.name ?? ''} done={() => pick('')} />)}
        </Section>
      ))}
    </div>
  );
}

const results = ['good', 'bad', 'not sure'];

function Tried({ r, c, name, done }: { r: Row; c: ClutchCell; name: string; done: () => void }) {
  const draft = `clutch:${r.try}/${nameOf(c)}`;
  const [d, setD, dKept] = useDraft(draft, { figure: '', words: '' });
  const { figure, words } = d;
  const [error, setError] = useState<string | undefined>();
  const put = async (result: string) => {
    try {
      await keep({ kind: 'clutch', body: {
        of: c.of, try: r.try, result, ...(c.hot === true ? { hot: true } : {}), ...(c.again.length === 0 ? {} : { again: c.again }),
        ...(figure === '' || r.unit === undefined ? {} : { value: { t: figure, u: r.unit } }), ...(words.trim() === '' ? {} : { words: words.trim() }),
      } }, [draft]);
      dKept();
      say('Saved on this phone.');
      done();
    } catch (e) {
      setError((e as Error).message);
    }
  };
  return (
    <fieldset data-testid="tried">
      <legend>{name} ({nameOf(c)})</legend>
      {r.unit !== undefined && <label>Figure, {r.unit}, if one was read<input class="figure" inputMode="decimal" value={figure} onInput={(e) => setD({ ...d, figure: e.currentTarget.value.replace(',', '.').replace(/[^0-9.]/g, '') })} /></label>}
      <label>In words, if there are any<input value={words} onInput={(e) => setD({ ...d, words: e.currentTarget.value })} /></label>
      <Problem error={error} />
      <p class="turns">{results.map((x) => <button key={x} type="button" onClick={() => void put(x)}>{x}: keep it</button>)}</p>
      {c.tries.length > 0 && (
        <ul class="readings">
          {c.tries.map((t) => (
            <li key={t.id}><a class="reading" href={href('entry', { id: t.id })}>
              <span class="figure value">{t.value ?? ''}</span><span>{t.open ? t.result : <s>{t.result}</s>}</span><span class="word">{[t.open ? undefined : 'tried again since', t.by, when(t.at), t.words].filter((x) => x !== undefined).join(', ')}</span>
            </a></li>
          ))}
        </ul>
      )}
    </fieldset>
  );
}
