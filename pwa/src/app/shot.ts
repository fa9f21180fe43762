// What the camera was opened for. Phones throw the page away while it is open,
// and the picture with it: the next start says so, and where to take it again (T3).
import { signal } from '@preact/signals';
import { dropDraft, loadDraft, putDraft, status } from './core';

/** hash: the page's address then. words: the place. */
export interface Shot { job: string; hash: string; words: string }

export const shotDraft = 'shot';

/** A picture of this or another job that never came back from the camera. */
export const lostShot = signal<Shot | undefined>(undefined);

/** This page has opened the camera itself: what the draft says is its own, and not lost. */
let opened = false;

/** Looks once, after the app has started, for a picture that went with the page. */
export async function findShot(): Promise<void> {
  const shot = await loadDraft<Shot>(shotDraft);
  if (!opened) lostShot.value = shot;
}

/** The camera is opened, as the page stands now. */
export function openCamera(words: string): void {
  opened = true;
  putDraft(shotDraft, { job: status.value.job, hash: location.hash, words } satisfies Shot);
}

/** Nothing of it is wanted any more. */
export function forgetShot(): void {
  lostShot.value = undefined;
  void dropDraft(shotDraft);
}
