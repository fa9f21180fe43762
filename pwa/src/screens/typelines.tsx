// Every line of a type sheet, to be changed one by one: name and ends, sizes,
// undersizes, places sheet by sheet, joints and where their fasteners stand.
import { useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';
import type { TypeView } from '../core/types';
import { CountForm, TypeLine } from './typeform';

/** Sets a line; undefined leaves it as it was. */
export type Set = (key: string, text: string | undefined) => void;
type Field = NonNullable<TypeView['fields']>[number];
interface Lines { v: TypeView; edits: Record<string, string>; set: Set }

export function TypeLines({ v, edits, set, stud, onStud }: Lines & { stud: string; onStud: (key: string) => void }) {
  const of = (group: string | undefined) => (v.fields ?? []).filter((f) => f.group === group);
  const lines = { v, edits, set };
  return (
    <>
      <CountForm texts={Object.fromEntries(of('count').map((f) => [f.key, edits[f.key] ?? f.text]))} wrong={v.wrong} set={set} />
      <Group title="Name, ends, firing order" open fields={of(undefined)} {...lines} />
      <Group title="Nominal sizes" fields={of('nominal')} {...lines}>
        <p class="fine">As the maker prints them, each with its unit. Left empty, a size goes.</p>
        <Another labels={['Another size, short name', 'Size, with its unit']} hints={['big_end.width', '31.75 mm']} button="Add the size" add={(name, text) => set(`nominal|${name}`, text)} />
      </Group>
      <Group title="Undersizes" fields={of('undersize')} {...lines}>
        {['pin', 'main'].filter((k) => !of('undersize').some((f) => f.key.startsWith(`undersize|${k}|`))).map((k) => (
          <label key={k}>{k === 'pin' ? 'On offer for big-end pins, mm' : 'On offer for main journals, mm'}<input placeholder="0.25 0.50" value={edits[`undersize|${k}|steps`] ?? ''} onInput={(e) => set(`undersize|${k}|steps`, e.currentTarget.value || undefined)} /></label>
        ))}
      </Group>
      <Places fields={of('feature')} {...lines} />
      <Joints fields={of('joint')} places={of('fastener')} stud={stud} onStud={onStud} {...lines} />
    </>
  );
}

function Group({ title, fields, open = false, children, ...lines }: Lines & { title: string; fields: Field[]; open?: boolean; children?: ComponentChildren }) {
  return (
    <details open={open}>
      <summary>{title}{fields.length > 0 && <span class="fine figure">{'\u00a0'}{fields.length}</span>}</summary>
      <div class="type-form">{fields.map((f) => <Line key={f.key} f={f} {...lines} />)}</div>
      {children}
    </details>
  );
}

function Line({ f, v, edits, set }: Lines & { f: Field }) {
  const says = v.wrong.find((w) => w.key === f.key)?.says;
  return <TypeLine label={[f.of, f.label].filter((t) => t !== undefined).join(': ')} text={edits[f.key] ?? f.text} says={says} set={(text) => set(f.key, text)} />;
}

/** Two short texts that add a line; the sheet says itself what is wrong with it. */
function Another({ labels, hints, button, add }: { labels: [string, string]; hints: [string, string]; button: string; add: (name: string, text: string) => void }) {
  const [name, setName] = useState('');
  const [text, setText] = useState('');
  const ready = name.trim() !== '' && text.trim() !== '';
  return (
    <div class="type-another">
      <label>{labels[0]}<input value={name} placeholder={hints[0]} autocapitalize="off" onInput={(e) => setName(e.currentTarget.value)} /></label>
      <label>{labels[1]}<input value={text} placeholder={hints[1]} onInput={(e) => setText(e.currentTarget.value)} /></label>
      <button type="button" disabled={!ready} onClick={() => (add(name.trim(), text.trim()), setName(''), setText(''))}>{button}</button>
    </div>
  );
}

const placeOf = (key: string) => key.split('|')[1] ?? '';
const grouped = (fields: Field[]) => [...new Set(fields.map((f) => placeOf(f.key)))].map((at) => ({ at, own: fields.filter((f) => placeOf(f.key) === at) }));

function Places({ fields, v, edits, set }: Lines & { fields: Field[] }) {
  const places = grouped(fields);
  const sheetOf = (own: Field[]) => own.find((f) => f.key.endsWith('|sheet'))?.text ?? '';
  const sheets = [...new Set(places.map((p) => sheetOf(p.own)))];
  const off = Object.keys(edits).filter((k) => k.endsWith('|off'));
  const loose = v.wrong.filter((w) => w.key?.startsWith('feature|') && !fields.some((f) => f.key === w.key));
  return (
    <details>
      <summary>Places, sheet by sheet<span class="fine figure">{'\u00a0'}{places.length}</span></summary>
      <p class="fine">Numbered: which there are, in the order of the walk, with spaces. Measured at: planes and directions as a.V a.H, or spots 1 2 3; empty for one reading. Called: what the screens say of it, with {'{n}'} where its number goes.</p>
      {sheets.map((sheet) => (
        <section key={sheet} aria-label={sheet}>
          <h3>{sheet}</h3>
          {places.filter((p) => sheetOf(p.own) === sheet).map((p) => (
            <details key={p.at} class="type-place">
              <summary>{p.own[0]?.of ?? p.at}</summary>
              <div class="type-form">{p.own.map((f) => <Line key={f.key} f={{ ...f, of: undefined }} v={v} edits={edits} set={set} />)}</div>
              <button type="button" onClick={() => set(`feature|${p.at}|off`, 'off')}>Take it off the sheet</button>
            </details>
          ))}
        </section>
      ))}
      {off.map((k) => <p key={k}>{placeOf(k)} comes off. <button type="button" onClick={() => set(k, undefined)}>Leave it on</button></p>)}
      {loose.map((w) => <p key={w.key} class="problem">{placeOf(w.key ?? '')}: {w.says} <button type="button" onClick={() => set(w.key ?? '', undefined)}>Leave that out</button></p>)}
      <Another labels={['Another place, short name', 'Called']} hints={['cyl.N.seat', 'cylinder {n} · liner seat']} button="Add the place" add={(at, words) => set(`feature|${at}|words`, words)} />
    </details>
  );
}

function Joints({ fields, places, stud, onStud, v, edits, set }: Lines & { fields: Field[]; places: Field[]; stud: string; onStud: (key: string) => void }) {
  const own = places.filter((f) => f.key.startsWith(`joint|${stud}|`));
  return (
    <details>
      <summary>Joints and their fasteners<span class="fine figure">{'\u00a0'}{grouped(fields).length}</span></summary>
      {grouped(fields).map(({ at, own: lines }) => (
        <section key={at} aria-label={lines[0]?.of ?? at}>
          <h3>{lines[0]?.of ?? at}</h3>
          <div class="type-form">{lines.map((f) => <Line key={f.key} f={{ ...f, of: undefined }} v={v} edits={edits} set={set} />)}</div>
          <label>Move the fastener
            <select value={stud} onChange={(e) => onStud(e.currentTarget.value)}>
              <option value="">choose, or touch it on the drawing</option>
              {[...new Set(places.filter((f) => f.key.startsWith(`joint|${at}|`)).map((f) => f.key.split('|').slice(1, 3).join('|')))].map((k) => <option key={k} value={k}>{k.split('|')[1]}</option>)}
            </select>
          </label>
          {stud.startsWith(`${at}|`) && <div class="type-another">{own.map((f) => <Line key={f.key} f={f} v={v} edits={edits} set={set} />)}</div>}
        </section>
      ))}
      <p class="fine">Along the engine from the first end, across it from the first side: whole numbers from 0 to 1000. Those that stand in one row across have the same first number.</p>
      <Another labels={['Another joint, short name', 'Called']} hints={['caps', 'main bearing caps']} button="Add the joint" add={(name, words) => set(`joint|${name}|words`, words)} />
    </details>
  );
}
