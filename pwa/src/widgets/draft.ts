import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { dropDraft, loadDraft, putDraft } from '../app/core';

/**
 * What is half filled in: it outlives a reload (T3). What somebody fills in
 * while the kept one is still being read stays. Without a key it is the page's
 * alone.
 *
 * Of the two that come back after the value, the first sets it; undefined gives
 * up what the caller saw, and nothing that was filled in since. The second is
 * for when the draft has gone in the transaction that kept what the caller saw:
 * the form is empty, or says the rest that it is given, unless something was
 * filled in since, which then is the draft.
 */
export function useDraft<T>(key: string | undefined, start: T, revive: (old: T) => T = (old) => old): [T, (next: T | undefined) => void, (rest?: T) => void] {
  const [value, setValue] = useState(start);
  const touched = useRef(false);
  const now = useRef({ key, value });
  const left = useRef(now.current); // the form as it was when it became another one
  if (now.current.key !== key) left.current = now.current;
  now.current = { key, value };
  useLayoutEffect(() => {
    touched.current = false;
    setValue(start);
  }, [key]);
  useEffect(() => {
    let gone = false;
    if (key === undefined) return;
    void loadDraft<T>(key).then((old) => {
      if (!gone && !touched.current && old !== undefined) setValue(revive(old));
    });
    return () => void (gone = true);
  }, [key]);
  const show = (next: T) => {
    touched.current = true;
    now.current = { ...now.current, value: next };
    setValue(next);
  };
  return [value, (next) => {
    if (next === undefined && now.current.value !== value) return;
    show(next ?? start);
    if (key !== undefined) next === undefined ? void dropDraft(key) : putDraft(key, next);
  }, (rest = start) => {
    const last = now.current.key === key ? now.current : left.current;
    if (last.key !== key) return;
    const next = last.value === value ? rest : last.value;
    if (last === now.current) show(next);
    if (key !== undefined && next !== start) putDraft(key, next);
  }];
}
