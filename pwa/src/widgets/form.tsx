// A form of plain fields that keeps one entry; its fields may hang on what has
// been filled in.
import { useState } from 'preact/hooks';
import { Fragment, type ComponentChildren } from 'preact';
import { say } from '../app/state';
import { Problem } from './basics';
import { useDraft } from './draft';
import { Meaning, type Word } from './meaning';

export type Values = Record<string, string>;

export interface FieldOf { name: string; label: string; need?: boolean; hint?: string; options?: [string, string][]; about?: Word }

/** draft: where what is half filled in outlives the page. start: what its fields say at first. make: keeps what the fields say, ending the drafts `ended` with it, or throws the words that say why not. */
export function Form({ fields: given, button, make, start = {}, draft, children }: { fields: FieldOf[] | ((v: Values) => FieldOf[]); button: string; make: (v: Values, ended: string[]) => Promise<void>; start?: Values; draft: string; children?: ComponentChildren }) {
  const [v, setV, vKept] = useDraft<Values>(draft, start);
  const [error, setError] = useState<string | undefined>();
  const fields = typeof given === 'function' ? given(v) : given;
  const submit = async (e: Event) => {
    e.preventDefault();
    try {
      await make(Object.fromEntries(fields.map((f) => [f.name, (v[f.name] ?? start[f.name] ?? f.options?.[0]?.[0] ?? '').trim()])), [draft]);
      vKept();
      setError(undefined);
      say('Saved on this phone.');
    } catch (x) {
      setError((x as Error).message);
    }
  };
  const change = (name: string) => (e: { currentTarget: { value: string } }) => setV({ ...v, [name]: e.currentTarget.value });
  return (
    <form onSubmit={(e) => void submit(e)}>
      {fields.map((f) => (
        <Fragment key={f.name}>
          <label>
            {f.label}
            {f.options === undefined ? (
              <input value={v[f.name] ?? ''} placeholder={f.hint} required={f.need} onInput={change(f.name)} />
            ) : (
              <select value={v[f.name] ?? start[f.name] ?? f.options[0]?.[0]} onChange={change(f.name)}>{f.options.map(([k, w]) => <option key={k} value={k}>{w}</option>)}</select>
            )}
          </label>
          {f.about !== undefined && <Meaning of={f.about} />}
        </Fragment>
      ))}
      {children}
      <Problem error={error} />
      <button type="submit">{button}</button>
    </form>
  );
}

export const value = (t: string, u: string) => (t === '' ? undefined : { t, u });
export const need = (name: string, label: string, hint?: string): FieldOf => ({ name, label, need: true, ...(hint === undefined ? {} : { hint }) });
export const may = (name: string, label: string, hint?: string): FieldOf => ({ name, label, ...(hint === undefined ? {} : { hint }) });
