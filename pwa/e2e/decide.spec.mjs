// Decide and go on: snags, parts and orders, decisions; a file for each in decide/.
import { readdirSync } from 'node:fs';

const folder = new URL('./decide/', import.meta.url);
export const cases = [];
for (const file of readdirSync(folder).filter((f) => f.endsWith('.mjs')).sort()) {
  const { cases: own } = await import(new URL(file, folder).href);
  cases.push(...own);
}
