// The capture screens, a file for each of them in capture/.
import { readdirSync } from 'node:fs';

const folder = new URL('./capture/', import.meta.url);
export const cases = [];
for (const file of readdirSync(folder).filter((f) => f.endsWith('.mjs')).sort()) {
  const { cases: own } = await import(new URL(file, folder).href);
  cases.push(...own);
}
