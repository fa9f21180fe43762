// A screen that is read from the phone's own files when it is first opened, so
// that the first script stays small. It is kept with all the others, so it
// opens with no signal too.
import type { ComponentType, JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';

export function lazy<P extends object>(load: () => Promise<ComponentType<P>>): (props: P) => JSX.Element {
  let Screen: ComponentType<P> | undefined;
  return function Later(props: P) {
    const [, again] = useState(0);
    const [failed, setFailed] = useState(false);
    useEffect(() => {
      if (Screen === undefined) void load().then((c) => ((Screen = c), again((n) => n + 1)), () => setFailed(true));
    }, []);
    if (Screen !== undefined) return <Screen {...props} />;
    return failed ? <p class="problem" role="alert">This screen could not be read. Close the app and open it again; nothing is lost.</p> : <p class="empty">Opening.</p>;
  };
}
