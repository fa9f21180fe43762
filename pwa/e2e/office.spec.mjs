// What the office does and keeps, a file for each of it in office/.
import { readdirSync } from 'node:fs';

const folder = new URL('./office/', import.meta.url);
export const cases = [];
for (const file of readdirSync(folder).filter((f) => f.endsWith('.mjs')).sort()) {
  const { cases: own } = await import(new URL(file, folder).href);
  cases.push(...own);
}
