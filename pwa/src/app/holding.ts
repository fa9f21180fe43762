// The hold tests of this phone: its clock, a tick for the screens, and what
// rings when the wanted time is over.
import { effect, signal } from '@preact/signals';
import { loadDraft, saveDraft, status } from './core';
import { holdClock, type Count } from './holdclock';

const life = [...crypto.getRandomValues(new Uint32Array(2))].join('.');

export const clock = holdClock({
  look: () => ({ mono: performance.now(), wall: Date.now(), life, shown: document.visibilityState === 'visible' }),
  load: () => loadDraft<Record<string, Count>>('holds'),
  save: (counts) => saveDraft('holds', counts),
});

/** False until what was counted before is back. */
export const counting = signal(false);

effect(() => {
  if (!status.value.ready || counting.peek()) return;
  void clock.open().then(() => (counting.value = true));
});

document.addEventListener('visibilitychange', () => void clock.look());

/** Grows once a second while somebody shows a time. */
export const tick = signal(0);

let watchers = 0;
let timer = 0;

/** Ticks until the returned function is called. */
export function ticking(): () => void {
  if (watchers++ === 0) timer = setInterval(() => tick.value++, 1000) as unknown as number;
  return () => {
    if (--watchers === 0) clearInterval(timer);
  };
}

let sound: AudioContext | undefined;

/** Asked for under a finger, so that the browser lets it sound later; a phone without sound is as good. */
export function armSound(): void {
  try {
    sound ??= new AudioContext();
    void sound.resume().catch(() => undefined);
  } catch {
    // No sound here: the words on the screen say it.
  }
}

/** Three short tones and a shake, as far as there are any. */
export function ring(): void {
  armSound();
  try {
    for (let i = 0; sound !== undefined && i < 3; i++) tone(sound, sound.currentTime + i * 0.4);
    navigator.vibrate?.([300, 150, 300, 150, 300]);
  } catch {
    // As above.
  }
}

/** One soft tone: a reading is due. */
export function chime(): void {
  try {
    if (sound !== undefined) tone(sound, sound.currentTime, 440, 0.12);
  } catch {
    // As above.
  }
}

function tone(ctx: AudioContext, at: number, pitch = 880, loud = 0.4): void {
  const wave = ctx.createOscillator();
  const level = ctx.createGain();
  wave.frequency.value = pitch;
  level.gain.setValueAtTime(loud, at);
  level.gain.exponentialRampToValueAtTime(0.001, at + 0.25);
  wave.connect(level).connect(ctx.destination);
  wave.start(at);
  wave.stop(at + 0.25);
}

/** Keeps the screen lit where the phone offers that; nothing rests on it. */
export function keepLit(): () => void {
  let lock: { release(): Promise<void> } | undefined;
  let over = false;
  const ask = async () => {
    try {
      if (document.visibilityState !== 'visible') return;
      const got = await navigator.wakeLock?.request('screen');
      if (over) await got?.release();
      else lock = got;
    } catch {
      // Refused or not offered: the screen goes dark, the time goes on.
    }
  };
  document.addEventListener('visibilitychange', ask);
  void ask();
  return () => {
    over = true;
    document.removeEventListener('visibilitychange', ask);
    void lock?.release().catch(() => undefined);
  };
}
