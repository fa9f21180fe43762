import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { dropDraft, loadDraft, saveDraft } from '../app/core';

/**
 * What is half filled in: it outlives a reload (T3). What somebody fills in
 * while the kept one is still being read stays; setting it to undefined ends it.
 */
export function useDraft<T>(key: string, start: T, revive: (old: T) => T = (old) => old): [T, (next: T | undefined) => void] {
  const [value, setValue] = useState(start);
  const touched = useRef(false);
  useLayoutEffect(() => {
    touched.current = false;
    setValue(start);
  }, [key]);
  useEffect(() => {
    let gone = false;
    void loadDraft<T>(key).then((old) => {
      if (!gone && !touched.current && old !== undefined) setValue(revive(old));
    });
    return () => void (gone = true);
  }, [key]);
  return [value, (next) => {
    touched.current = true;
    setValue(next === undefined ? start : next);
    void (next === undefined ? dropDraft(key) : saveDraft(key, next));
  }];
}
