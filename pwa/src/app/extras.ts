// What some phones have and others lack: nothing may rest on it (T64). Every
// call may find its API absent or throwing, and goes on.
import { useEffect } from 'preact/hooks';

/** The parts of a browser that are used here; each may be missing. */
export interface Phone {
  wakeLock?: { request(kind: 'screen'): Promise<{ release(): Promise<void> }> };
  vibrate?(ms: number): boolean;
  storage?: { persist?(): Promise<boolean>; persisted?(): Promise<boolean> };
}

export interface Page {
  readonly visibilityState: string;
  addEventListener(name: 'visibilitychange', run: () => void): void;
  removeEventListener(name: 'visibilitychange', run: () => void): void;
}

/** Keeps the screen on while something is measured, and again when the page is seen again. The answer lets it go. */
export function stayAwake(phone: Phone, page: Page): () => void {
  let held: { release(): Promise<void> } | undefined;
  let over = false;
  const take = async () => {
    if (over || page.visibilityState !== 'visible') return;
    try {
      const lock = await phone.wakeLock?.request('screen');
      if (over) await lock?.release();
      else held = lock;
    } catch {
      // The screen goes dark as it always does; nothing typed is lost by that.
    }
  };
  const seen = () => void take();
  void take();
  page.addEventListener('visibilitychange', seen);
  return () => {
    over = true;
    page.removeEventListener('visibilitychange', seen);
    void held?.release().catch(() => undefined);
  };
}

export function useAwake(): void {
  useEffect(() => stayAwake(navigator as Phone, document), []);
}

/** A short shake beside the words on the screen. */
export function buzz(phone: Phone = navigator as Phone): void {
  try {
    phone.vibrate?.(30);
  } catch {
    // Only ever an extra.
  }
}

/** Whether the browser has promised to keep the store; undefined when it cannot be asked. */
export async function isKept(phone: Phone = navigator as Phone): Promise<boolean | undefined> {
  try {
    return await phone.storage?.persisted?.();
  } catch {
    return undefined;
  }
}

/** Asks the browser to keep the store for good (T4). */
export async function askToKeep(phone: Phone = navigator as Phone): Promise<boolean | undefined> {
  try {
    return await phone.storage?.persist?.();
  } catch {
    return undefined;
  }
}
