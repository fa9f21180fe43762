import { describe, expect, it } from 'vitest';
import { clockWords } from './clock';

const min = 60_000;

describe("the phone's clock, in words", () => {
  const cases: [number | undefined, RegExp][] = [
    [undefined, /^Not compared/], [0, /^Agrees/], [2 * min, /^Agrees/], [-2 * min, /^Agrees/], [2 * min + 1, /^About 2 minutes ahead of/],
    [-7 * min, /^About 7 minutes behind/], [89 * min, /^About 89 minutes ahead/], [-120 * min, /^About 2 hours behind/], [26 * 60 * min, /^About 26 hours/],
    [-365 * 24 * 60 * min, /^About 365 days behind/],
  ];
  for (const [offset, want] of cases) it(String(offset), () => expect(clockWords(offset)).toMatch(want));
});
