// The small form of an engine type: cylinders in a row, what is known of it.
import { useId } from 'preact/hooks';
import type { TypeView } from '../core/types';

interface Line { name: string; label: string; hint?: string }

const about: Line[] = [
  { name: 'name', label: 'Name', hint: 'as on its plate' }, { name: 'cylinders', label: 'Cylinders', hint: '4' }, { name: 'mains', label: 'Main bearings', hint: 'one more than cylinders' },
  { name: 'end1', label: 'One end is called', hint: 'timing end' }, { name: 'end2', label: 'The other', hint: 'flywheel end' },
  { name: 'firing', label: 'Firing order', hint: '1 3 4 2' }, { name: 'valves', label: 'Valves of cylinder 1, from the first end; the next is its mirror', hint: 'E I' },
  { name: 'studs', label: 'Head studs', hint: '10' }, { name: 'stud_rows', label: 'in how many rows', hint: '2' }, { name: 'torques', label: 'Torque of each pass, N·m', hint: '50 90 130' },
];

const sizes: Line[] = [
  { name: 'bore', label: 'Bore, mm' }, { name: 'stroke', label: 'Stroke, mm' }, { name: 'main', label: 'Main journal, new, largest, mm' }, { name: 'pin', label: 'Big-end pin, new, largest, mm' },
  { name: 'opening', label: 'Gasket fire ring opening, mm' }, { name: 'compressed', label: 'Gasket compressed, mm' }, { name: 'free', label: 'Gasket free, mm' }, { name: 'protrusion', label: 'Piston protrusion, mm' },
  { name: 'undersizes', label: 'Undersizes on offer, mm', hint: '0.25 0.50 0.75 1.00' },
];

/** One line of a type: what is wrong with it stands under it and belongs to it, but is no part of its name. */
export function TypeLine({ label, text, hint, says, set }: { label: string; text: string; hint?: string | undefined; says: string | undefined; set: (text: string) => void }) {
  const id = useId();
  return (
    <div>
      <label>{label}<input value={text} placeholder={hint} autocapitalize="off" aria-invalid={says !== undefined} aria-describedby={says === undefined ? undefined : id} onInput={(e) => set(e.currentTarget.value)} /></label>
      {says !== undefined && <p class="problem" id={id}>{says}</p>}
    </div>
  );
}

const counts = ['cylinders', 'mains', 'valves', 'studs', 'stud_rows'];

/** The lines of the form that say how many there are, of a type that stands; texts: what it says now. */
export function CountForm({ texts, wrong, set }: { texts: Record<string, string>; wrong: TypeView['wrong']; set: (name: string, text: string) => void }) {
  return (
    <details open>
      <summary>How many there are</summary>
      <p class="fine">The drawing follows. What stays keeps its name, sizes and points; what is new gets those of its neighbours. A firing order that no longer fits goes: give the new one below.</p>
      <div class="type-form">{about.filter((l) => counts.includes(l.name)).map((l) => <TypeLine key={l.name} label={l.label} text={texts[l.name] ?? ''} hint={l.hint} says={wrong.find((w) => w.key === l.name)?.says} set={(t) => set(l.name, t)} />)}</div>
    </details>
  );
}

/** tried: what a line needs is said of those left empty too. */
export function TypeForm({ form, wrong, tried, set }: { form: Record<string, string>; wrong: TypeView['wrong']; tried: boolean; set: (name: string, text: string) => void }) {
  const one = (l: Line) => {
    const text = form[l.name] ?? '';
    const says = text !== '' || tried ? wrong.find((w) => w.key === l.name)?.says : undefined;
    return <TypeLine key={l.name} label={l.label} text={text} hint={l.hint} says={says} set={(t) => set(l.name, t)} />;
  };
  return (
    <>
      <div class="type-form">{about.map(one)}</div>
      <details open>
        <summary>Sizes of the maker's, as far as you have them</summary>
        <p class="fine">Each may name its own unit, as 4 1/4 in. They can be put in later; a size from another engine is none for yours.</p>
        <div class="type-form">{sizes.map(one)}</div>
      </details>
    </>
  );
}
