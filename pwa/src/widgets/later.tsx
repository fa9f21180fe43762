// A screen that comes with the first look at it, so that the app itself opens fast.
import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { openAgain } from '../app/core';

/** The whole app is kept on the phone, so that this waits for no network; what cannot be had is told. */
export function later<P extends object>(load: () => Promise<ComponentType<P>>): ComponentType<P> {
  let got: ComponentType<P> | undefined;
  return function Later(props: P) {
    const [Screen, show] = useState<ComponentType<P> | undefined>(() => got);
    const [error, setError] = useState('');
    useEffect(() => {
      if (Screen !== undefined) return;
      load().then(
        (c) => show(() => (got = c)),
        () => setError('This screen is not on the phone: a newer version has taken the place of its files, or the phone has cleared them. What is saved and half filled in stays.'),
      );
    }, []);
    if (error !== '') return <div class="problem" role="alert"><p>{error}</p><button type="button" onClick={() => void openAgain()}>Open the app again</button></div>;
    return Screen === undefined ? null : <Screen {...props} />;
  };
}
