// Small pieces that every screen uses: a view of the core, an engine's name, a
// verdict as a drawing with its word, a drawing of the core, a caution.
import { useSignal, useSignalEffect } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useId, useLayoutEffect, useRef } from 'preact/hooks';
import type { Engine, Glyph, Line, Verdict } from '../core/types';
import { changed, status, view } from '../app/core';
import { about, href } from '../app/state';
import { drawing } from '../app/trusted';

/** A view of the core, asked for again whenever entries were added. */
export function useView<T>(name: string, args: object = {}): { value?: T; error?: string } {
  const got = useSignal<{ value?: T; error?: string }>({});
  const key = JSON.stringify(args);
  const ask = () => {
    let late = false;
    view<T>(name, JSON.parse(key) as object).then(
      (value) => !late && (got.value = { value }),
      (e: Error) => !late && (got.value = { error: e.message }),
    );
    return () => (late = true);
  };
  useEffect(() => ask() as unknown as () => void, [name, key]);
  useSignalEffect(() => {
    if (changed.value > 0 && status.value.ready) ask();
  });
  return got.value;
}

/** Begins with a capital and ends with a full stop. */
export const sentence = (t: string): string => `${t.slice(0, 1).toUpperCase()}${t.slice(1)}.`;

export function Band({ kind }: { kind: Engine['band'] }) {
  return (
    <svg class="band" viewBox="0 0 16 32" aria-hidden="true">
      <rect class={kind === 'solid' ? 'band-solid' : 'band-edge'} x="1" y="1" width="14" height="30" />
      {kind === 'hatched' && <path class="band-hatch" d="M1 9 9 1M1 17 15 3M1 25 15 11M3 31 15 19M11 31 15 27" />}
    </svg>
  );
}

/** The side that an engine is on, once that is settled: nothing on the screen goes by a side that may be the other one. */
export const settledSide = (e: Engine): Engine['side'] => (e.contested === true ? undefined : e.side);

export const sideWords = (e: Engine): string => settledSide(e) ?? (e.contested === true ? 'place not settled' : 'not fitted');

/** An engine on a button or a pad: seventeen (2117, left). */
export function spoken(e: Engine): string {
  const side = settledSide(e);
  return `${e.name} (${e.asm}${side === undefined ? '' : `, ${side}`})`;
}

/** An engine: band, serial, name, and where it is, always together. */
export function EngineName({ e }: { e: Engine }) {
  return (
    <span class="engine-name">
      <Band kind={e.band} />
      <span>
        <b class="figure">{e.asm}</b> {e.name}
        <span class="where">{e.where}</span>
      </span>
    </span>
  );
}

/** Whose engines a screen is of. Of one alone the strip says it too: that stays in sight when this has scrolled away. */
export function Of({ engines, children }: { engines: readonly Engine[]; children?: ComponentChildren }) {
  const one = engines.length === 1 ? engines[0] : undefined;
  useLayoutEffect(() => {
    about.value = one;
    return () => void (about.value = undefined);
  }, [one]);
  return <>{engines.map((e) => <p key={e.asm}><EngineName e={e} />{children}</p>)}</>;
}

const shapes: Record<string, string> = {
  within: 'within', outside: 'outside', 'not proven': 'not-proven', incomplete: 'incomplete', contested: 'contested', '': 'none',
};

export const verdictClass = (v: Verdict): string => shapes[v] ?? 'none';

/** The limit glyph: stops are the limits, the mark is the value, the bar its uncertainty. */
export function GlyphMark({ g, verdict, large = false }: { g: Glyph; verdict: Verdict; large?: boolean }) {
  const w = large ? 320 : 64;
  const h = large ? 48 : 24;
  const x = (p: number) => 4 + (p * (w - 8)) / 1000;
  const mid = h / 2;
  const r = large ? 8 : 4;
  const missing = verdict === 'incomplete';
  return (
    <svg class={`glyph ${verdictClass(verdict)}`} viewBox={`0 0 ${w} ${h}`} aria-hidden="true">
      <path class={missing ? 'g-line g-missing' : 'g-line'} d={`M${x(g.lo < 0 ? 40 : g.lo)} ${mid}H${x(g.hi < 0 ? 960 : g.hi)}`} />
      {(g.lo >= 0 || missing) && <path class={missing ? 'g-stop g-missing' : 'g-stop'} d={`M${x(g.lo < 0 ? 200 : g.lo)} 2V${h - 2}`} />}
      {(g.hi >= 0 || missing) && <path class={missing ? 'g-stop g-missing' : 'g-stop'} d={`M${x(g.hi < 0 ? 800 : g.hi)} 2V${h - 2}`} />}
      {g.bar > 0 && !missing && <path class="g-bar" d={`M${x(Math.max(0, g.val - g.bar))} ${mid}H${x(Math.min(1000, g.val + g.bar))}`} />}
      {verdict === 'contested' ? (
        <>
          <circle cx={x(Math.max(60, g.val - 110))} cy={mid} r={r} />
          <circle cx={x(Math.min(940, g.val + 110))} cy={mid} r={r} />
        </>
      ) : (
        !missing && <circle cx={x(g.val)} cy={mid} r={r} />
      )}
    </svg>
  );
}

export function VerdictWord({ g, verdict, word }: { g: Glyph; verdict: Verdict; word: string }) {
  return (
    <span class={`verdict ${verdictClass(verdict)}`}>
      <GlyphMark g={g} verdict={verdict} /> <span class="word">{word}</span>
    </span>
  );
}

export function ResultLine({ l, engine }: { l: Line; engine?: Engine }) {
  return (
    <li>
      <a class="line" href={href('result', { id: l.id })}>
        <span class="line-title">
          {engine !== undefined && <EngineName e={engine} />}
          <b class="figure">{l.asm}</b> {[l.words, l.cond_words].filter((t) => t !== undefined).join(', ')}
        </span>
        <VerdictWord g={l.glyph} verdict={l.verdict} word={l.word} />
        <span class="line-says">{l.says}</span>
      </a>
    </li>
  );
}

/** A drawing of the core; a touched or typed-on target is handed to onPick. */
export function Drawing({ svg, attribute, onPick, label }: { svg: string; attribute?: string; onPick?: (name: string) => void; label: string }) {
  const host = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (host.current === null || svg === '') return;
    const el = drawing(svg);
    if (onPick === undefined) el.setAttribute('role', 'img');
    el.setAttribute('aria-label', label);
    host.current.replaceChildren(el);
  }, [svg]);
  const pick = (e: Event) => {
    const target = (e.target as Element).closest(`[${attribute}]`);
    if (target !== null && onPick !== undefined) onPick(target.getAttribute(attribute ?? '') ?? '');
  };
  const key = (e: KeyboardEvent) => {
    if (e.key !== 'Enter' && e.key !== ' ') return;
    e.preventDefault();
    pick(e);
  };
  return <div class="drawing" ref={host} onClick={pick} onKeyDown={key} />;
}

export function Caution({ texts }: { texts: string[] }) {
  return (
    <>
      {texts.map((t) => (
        <p class="caution" key={t}>
          <b>Caution</b> {t}
        </p>
      ))}
    </>
  );
}

/** A part of a screen, a region named by its title. With an id it can be gone to. */
export function Section({ title, children, id }: { title: string; children: ComponentChildren; id?: string }) {
  const own = useId();
  return (
    <section class="part" aria-labelledby={id ?? own}>
      <h2 id={id ?? own}>{title}</h2>
      {children}
    </section>
  );
}

export function Problem({ error }: { error: string | undefined }) {
  return error === undefined ? null : <p class="problem" role="alert">{error}</p>;
}

/** A day and time as people write it. */
export function when(at: string): string {
  return at.slice(0, 16).replace('T', ' ');
}
