// Reads a gauge that types: a calliper or dial that sends its value as a burst
// of keys ended by Enter or Tab (T63). A burst is told from a person's typing
// by the time between its keys alone, so the reader is given every key with the
// time at which it was struck.

/** Keys closer together than this come from an instrument, in ms; quick fingers need about twice as long. */
export const burstGap = 50;

/** What begins so soon after an unfinished value may be the rest of it, in ms: it is not taken. */
export const restGap = 1000;

/** From so many quick keys on it was a gauge even when no end came; two may be two fingers. */
const halfFrom = 3;

const maxText = 32;

export type Heard =
  | { what: 'nothing' }
  | { what: 'burst'; text: string }
  /** A value without its end, or the end without its beginning. */
  | { what: 'half'; text: string };

const nothing: Heard = { what: 'nothing' };

const ends = new Set(['Enter', 'Tab']);

export class GaugeReader {
  private text = '';
  private last = -Infinity;
  /** What runs now is not whole: a piece of it was cut off or given up. */
  private broken = false;
  private told = false;

  /** Takes one key; at is when it was struck, in ms of one clock. */
  key(key: string, at: number): Heard {
    const late = this.text !== '' && at - this.last > burstGap ? this.cut(at) : nothing;
    if (ends.has(key)) return this.end(late);
    if (key.length !== 1) return late;
    if (this.text === '' && at - this.last > restGap) this.broken = false;
    this.text += key;
    this.last = at;
    return late;
  }

  /** Begins anew: nothing that ran before belongs to what comes. */
  forget(): void {
    this.text = '';
    this.last = -Infinity;
    this.broken = this.told = false;
  }

  /** The key taken last began to run something. */
  get first(): boolean {
    return this.text.length === 1;
  }

  /** Says whether what runs now has fallen silent without its end. */
  quiet(at: number): Heard {
    if (this.text.length < halfFrom || this.told || at - this.last <= burstGap) return nothing;
    this.broken = this.told = true;
    return { what: 'half', text: this.text };
  }

  /** The pause was too long for an instrument: what ran is over, and unfinished. */
  private cut(at: number): Heard {
    const half: Heard = this.text.length >= halfFrom && !this.told ? { what: 'half', text: this.text } : nothing;
    this.text = '';
    this.told = false;
    this.broken = at - this.last <= restGap;
    return half;
  }

  private end(late: Heard): Heard {
    const { text, broken, told } = this;
    this.forget();
    if (text === '') return late; // a person's own Enter
    if (broken || text.length > maxText) return told ? nothing : { what: 'half', text };
    return { what: 'burst', text };
  }
}

export interface Sent { t: string; u?: 'mm' | 'in' }

const unitsSent: Record<string, 'mm' | 'in'> = { mm: 'mm', in: 'in', inch: 'in', '"': 'in' };

/** The value in a burst: sign first or last, comma or point, unit behind it or none. Undefined when it is no length. */
export function readSent(text: string): Sent | undefined {
  const m = /^([+\-−]?)\s*(\d*[.,]?\d+|\d+[.,])\s*([+\-−]?)\s*(mm|inch|in|")?\s*([+\-−]?)$/i.exec(text.trim());
  if (m === null) return undefined;
  const [, first = '', digits = '', middle = '', unit = '', last = ''] = m;
  const signs = first + middle + last;
  if (signs.length > 1) return undefined;
  const t = (signs === '' || signs === '+' ? '' : '−') + digits.replace(',', '.');
  const u = unitsSent[unit.toLowerCase()];
  return u === undefined ? { t } : { t, u };
}
