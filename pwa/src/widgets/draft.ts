import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { dropDraft, loadDraft, putDraft } from '../app/core';

/**
 * What is half filled in: it outlives a reload (T3). What somebody fills in
 * while the kept one is still being read stays. Setting it to undefined ends
 * what the caller saw, and nothing that was filled in since.
 * Without a key it is the page's alone.
 */
export function useDraft<T>(key: string | undefined, start: T, revive: (old: T) => T = (old) => old): [T, (next: T | undefined) => void] {
  const [value, setValue] = useState(start);
  const touched = useRef(false);
  const now = useRef(value);
  now.current = value;
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
  return [value, (next) => {
    if (next === undefined && now.current !== value) return;
    touched.current = true;
    setValue(next === undefined ? start : next);
    if (key !== undefined) next === undefined ? void dropDraft(key) : putDraft(key, next);
  }];
}
