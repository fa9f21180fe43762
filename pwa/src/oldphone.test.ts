// The volunteers' page has no build: what stands in its files is what an old phone reads. iOS 12 and Chromium 69, of 2018, are
// the oldest that it is for; the language of that year is what a parser accepts as ECMAScript 2019 (compat tables of MDN).
import { readdirSync, readFileSync } from 'node:fs';
import { parse } from 'acorn';
import { expect, test } from 'vitest';

const folder = new URL('../../server/book/page/', import.meta.url);
const scripts = readdirSync(folder).filter((f) => f.endsWith('.js'));

/** What came later than 2018, and an older phone stumbles over when it is reached. Those that are asked for before they are used are not here. */
const later = /\b(replaceChildren|globalThis|structuredClone|allSettled|matchAll|replaceAll|fromEntries|toSorted|findLast|queueMicrotask|ResizeObserver)\b|\.at\(/;

test.each(scripts)('%s is read by a phone of 2018', (file) => {
  const text = readFileSync(new URL(file, folder), 'utf8');
  expect(() => parse(text, { ecmaVersion: 2019, sourceType: 'module' })).not.toThrow();
  expect(later.exec(text)?.[0]).toBeUndefined();
});

test('the check itself stumbles over what is newer', () => {
  expect(scripts.length).toBeGreaterThan(3);
  for (const newer of ['a?.b', 'a ?? b', 'await x', '1_000']) expect(() => parse(newer, { ecmaVersion: 2019, sourceType: 'module' })).toThrow();
});
