// A screen that is fetched when it is first opened, so that the first page
// stays small. Its file is kept on the phone with the rest: it opens offline.
import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Problem } from './basics';

export function Later<P extends object>({ load, with: props }: { load: () => Promise<ComponentType<P>>; with: P }) {
  const [Screen, setScreen] = useState<ComponentType<P> | undefined>();
  const [error, setError] = useState<string | undefined>();
  useEffect(() => {
    let gone = false;
    load().then(
      (s) => gone || setScreen(() => s),
      (e: Error) => gone || setError(`This part of the app did not load: ${e.message}. Nothing on this phone was touched; open the app again.`),
    );
    return () => void (gone = true);
  }, []);
  return Screen === undefined ? <Problem error={error} /> : <Screen {...props} />;
}
