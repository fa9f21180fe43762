// Our own number pad: it types digits, sign, comma and point alike, thou, inch,
// fraction and mm as people write them, and reads back large before a value is
// kept (T61, T62).
import type { ComponentChildren } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { SayView, Written } from '../core/types';
import { loadDraft, putDraft, view } from '../app/core';
import { buzz, useAwake } from '../app/extras';
import { showPad, type PadPort } from '../app/gauge';

export interface PadState {
  t: string; to: string; u: string; is: '' | 'at least' | 'at most' | 'nil'; second: boolean;
  /** A gauge sent it: no leading figures are put before it. */
  sent?: true;
}

export const emptyPad = (u: string): PadState => ({ t: '', to: '', u, is: '', second: false });

/** What one key does to what stands on the pad. */
export function press(s: PadState, key: string): PadState {
  const field = s.second ? 'to' : 't';
  const text = s[field];
  const put = (t: string): PadState => ({ ...s, [field]: t, is: s.is === 'nil' ? '' : s.is });
  switch (key) {
    case 'back':
      return text === '' && s.second ? { ...s, second: false } : put(text.slice(0, -1));
    case 'clear':
      return emptyPad(s.u);
    case 'sign':
      return put(text.startsWith('−') ? text.slice(1) : `−${text}`);
    case 'to':
      return s.t === '' || s.second ? s : { ...s, second: true, is: '' };
    case '<':
      return { ...s, is: s.is === 'at most' ? '' : 'at most', to: '', second: false };
    case '>':
      return { ...s, is: s.is === 'at least' ? '' : 'at least', to: '', second: false };
    case 'nil':
      return { ...emptyPad(s.u), is: s.is === 'nil' ? '' : 'nil' };
    case ',':
    case '.':
      return /[.,]/.test(text) ? s : put(`${text}.`);
    case '/':
      return text.includes('/') || text === '' ? s : put(`${text}/`);
    case ' ':
      return text === '' || text.includes(' ') ? s : put(`${text} `);
    default:
      return text.length < 14 ? put(text + key) : s;
  }
}

export function written(s: PadState): Written {
  if (s.is === 'nil') return { u: s.u, is: 'nil' };
  const w: Written = { t: s.t, u: s.u };
  if (s.second && s.to !== '') w.to = s.to;
  if (s.is !== '') w.is = s.is;
  return w;
}

/** Three digits alone finish the faint leading figures of the last reading. */
export function finished(s: PadState, lead: string, unit: string): PadState {
  const only = s.sent === undefined && lead.includes('.') && s.u === unit && !s.second && s.is === '' && /^\d{3}$/.test(s.t);
  return only ? { ...s, t: lead + s.t } : s;
}

const pressures = ['bar', 'kPa', 'psi', 'inHg', 'mmH2O'];

export const units: Record<string, string[]> = {
  mm: ['mm', 'in', 'thou'], in: ['in', 'thou', 'mm'], thou: ['thou', 'in', 'mm'], cm3: ['cm3', 'in3'], 'N.m': ['N.m', 'lbf.ft'],
  degC: ['degC', 'degF'], degF: ['degF', 'degC'], ...Object.fromEntries(pressures.map((p) => [p, [p, ...pressures.filter((o) => o !== p)]])),
};

const names: Record<string, string> = { cm3: 'cm³', in3: 'in³', 'N.m': 'N·m', 'lbf.ft': 'lbf·ft', degC: '°C', degF: '°F', mmH2O: 'mm water' };
export const unitName = (u: string): string => names[u] ?? u;

interface Props {
  /** The unit of the place: its kind says which others there are. */
  unit: string;
  /** The unit to begin with, when it is not that of the place. */
  begin?: string;
  /** Another unit was chosen. */
  onUnit?: (u: string) => void;
  lead: string;
  /** Names the point: what is typed is kept through a reload. */
  draft: string;
  context: object;
  keepLabel: (text: string) => string;
  /** Takes the value, and drops what was kept of it under `draft` in the same moment. */
  onKeep: (w: Written, draft: string) => Promise<void>;
  /** Keep what a gauge sends at once, without the Keep key. */
  each?: boolean;
  /** Why a gauge's value must not be taken now; '' when it may. */
  hold?: () => string;
  /** The app is on its way to another place already: what is typed belongs there. */
  gone?: () => boolean;
  /** The switch for gauges that type, where there is one. */
  gauge?: ComponentChildren;
}

const blank = (s: PadState) => s.t === '' && s.is !== 'nil';

export function Pad({ unit, begin = unit, onUnit, lead, draft, context, keepLabel, onKeep, each = false, hold = () => '', gone = () => false, gauge }: Props) {
  const [pad, setPad] = useState(emptyPad(begin));
  const [read, setRead] = useState<SayView | undefined>();
  const [problem, setProblem] = useState('');
  const [asked, setAsked] = useState('');
  const [busy, setBusy] = useState(false);
  const [more, setMore] = useState(false);
  const told = useRef<{ of: PadState; said: SayView } | undefined>(undefined); // what the core said of what stands there
  const now = useRef(pad); // what stands there, before the next drawing of it too
  const keeping = useRef(false);
  const ahead = useRef<string[]>([]); // keys pressed while the value before is being kept: they begin the next one
  const chosen = useRef(begin); // by a person: what a gauge means that names no unit
  useAwake();

  const put = (s: PadState) => {
    now.current = s;
    setPad(s);
  };
  const change = (s: PadState) => {
    put(s);
    setAsked('');
    setProblem('');
    putDraft(draft, s);
  };

  // At once with the new point, not after it is painted: a key pressed in between belongs to the new point and stays.
  useLayoutEffect(() => {
    const fresh = emptyPad(begin);
    chosen.current = begin;
    put(fresh);
    setAsked('');
    setProblem('');
    void loadDraft<PadState>(draft).then((old) => {
      if (old === undefined || now.current !== fresh) return;
      if (old.sent === undefined) chosen.current = old.u;
      put(old);
    });
  }, [draft]);

  // After every drawing: the next value's pad is there, or this one is free again.
  useLayoutEffect(() => {
    if (keeping.current || gone() || ahead.current.length === 0) return;
    const keys = ahead.current;
    ahead.current = [];
    change(keys.reduce(press, now.current));
  });

  useEffect(() => {
    let late = false;
    void view<SayView>('say', { ...context, ...written(finished(pad, lead, unit)) }).then((v) => {
      if (late) return;
      told.current = { of: pad, said: v };
      setRead(v);
    });
    return () => void (late = true);
  }, [pad, draft]);

  const type = (key: string) => {
    if (keeping.current || gone()) return void ahead.current.push(key);
    change(press(now.current, key));
    setMore(false);
  };

  const empty = blank(pad);
  const whole = finished(pad, lead, unit);
  const text = empty ? '' : (read?.text ?? whole.t);

  /** Keeps a value; one that the core asks about is kept only when it was asked already. */
  const settle = async (s: PadState, askedAlready: string) => {
    if (keeping.current || blank(s)) return;
    keeping.current = true;
    setBusy(true);
    try {
      const value = written(finished(s, lead, unit));
      const said = told.current?.of === s ? told.current.said : await view<SayView>('say', { ...context, ...value });
      if (!said.ok) return setProblem(said.error ?? '');
      if (said.question !== undefined && askedAlready !== said.text) return setAsked(said.text);
      await onKeep(value, draft);
      buzz();
      if (now.current === s) put(emptyPad(chosen.current));
      setAsked('');
    } catch (e) {
      ahead.current = [];
      setProblem(`Not saved: ${e instanceof Error ? e.message : String(e)} What you typed is still here.`);
    } finally {
      keeping.current = false;
      setBusy(false);
    }
  };
  const keep = () => settle(now.current, asked);

  const take: PadPort['take'] = (sent) => {
    if (keeping.current) return { refused: true, words: `A gauge sent ${sent.t} while the last value was being kept. It was not taken; send it again.` };
    const why = hold();
    if (why !== '') return { refused: true, words: `A gauge sent ${sent.t}. ${why}` };
    const s: PadState = { ...emptyPad(sent.u ?? chosen.current), t: sent.t, sent: true };
    const before = blank(marked.current) ? '' : written(marked.current).t ?? '';
    change(s);
    if (each) void settle(s, '');
    // The read-back says the value itself; what it took the place of is said beside it.
    return { refused: false, words: before === '' ? '' : `The gauge sent ${sent.t} in place of ${before}.` };
  };
  const marked = useRef(pad); // what stood there before the keys that run now
  const taking = useRef(take);
  taking.current = take;
  useEffect(() => showPad({
    key: draft,
    take: (sent) => taking.current(sent),
    mark: () => void (marked.current = now.current),
    undo: () => marked.current !== now.current && change(marked.current),
  }), [draft]);

  const onKey = (e: KeyboardEvent) => {
    const map: Record<string, string> = { Backspace: 'back', '-': 'sign', Escape: 'clear' };
    if (e.key === 'Enter') void keep();
    else if (/^[0-9.,/ <>]$/.test(e.key) || map[e.key] !== undefined) type(map[e.key] ?? e.key);
    else return;
    e.preventDefault();
  };
  const key = (k: string, label: string, name?: string) => (
    <button type="button" class="key" onClick={() => type(k)} aria-label={name ?? label}>
      {label}
    </button>
  );
  const cycle = () => {
    const list = units[unit] ?? [unit];
    chosen.current = list[(list.indexOf(pad.u) + 1) % list.length] ?? unit;
    onUnit?.(chosen.current);
    change({ ...now.current, u: chosen.current });
  };
  return (
    <div class="pad" data-at={draft} onKeyDown={onKey} tabIndex={0} role="group" aria-label="Number pad">
      {gauge}
      <output class={text.length > 9 ? 'readback long' : 'readback'} aria-live="polite" data-testid="readback">
        {empty ? (
          <span class="faint">{lead === '' ? '·' : `${lead}···`} {unitName(pad.u)}</span>
        ) : (
          <>
            {text}
            {pad.second && pad.to === '' && ' to …'}
          </>
        )}
      </output>
      {!empty && read?.ok === false && !/[./ ]$/.test(pad.t) && <p class="problem">{read.error}</p>}
      {asked !== '' && read?.question !== undefined && (
        <p class="question" role="alert">
          {`${read.question[0]?.toUpperCase()}${read.question.slice(1)}${read.question.endsWith('?') ? '' : '.'}`} Keep it as it stands by pressing Keep again.
        </p>
      )}
      {problem !== '' && <p class="problem" role="alert">{problem}</p>}
      <div class="keys">
        {key('7', '7')}{key('8', '8')}{key('9', '9')}
        {more ? key('<', '<', 'At most') : <button type="button" class="key word" onClick={cycle} aria-label={`Unit: ${unitName(pad.u)}. Change the unit`}>{unitName(pad.u)}</button>}
        {key('4', '4')}{key('5', '5')}{key('6', '6')}
        {more ? key('>', '>', 'At least') : key('sign', '+/−', 'Change the sign')}
        {key('1', '1')}{key('2', '2')}{key('3', '3')}
        {more ? key('to', 'to', 'to: between two values') : key('back', '⌫', 'Delete the last figure')}
        {more ? key(' ', 'space', 'space, before a fraction') : key('.', '.', 'Decimal point')}{key('0', '0')}
        {more ? key('nil', 'nil', 'nil: none felt') : key('/', '/', 'Fraction')}
        <button type="button" class="key word" aria-pressed={more} aria-label="< > to: at most, at least, between, none felt" onClick={() => setMore(!more)}>&lt; &gt; to</button>
      </div>
      <button type="button" class="keep" disabled={empty || busy} onClick={() => void keep()} data-testid="keep">
        {empty ? 'Keep' : keepLabel(text)}
      </button>
    </div>
  );
}
