import { undo } from './core';
import { kept, say, undone } from './state';

/** Takes the last entry back and says so, where it can be seen and heard. */
export async function takeBack(): Promise<void> {
  const words = await undo();
  kept.value = undefined;
  undone.value = words;
  say(words);
}
