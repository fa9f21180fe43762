// What can be told from the sources alone: the pad can be read in bright sun
// (T61), and a field that the phone's own keyboard opens takes sign and comma
// (T62).
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';

const src = join(import.meta.dirname, '..');
const css = readFileSync(join(src, 'styles.css'), 'utf8');

/** The colours of a look, by name. */
function colours(selector: string): Map<string, string> {
  const from = css.indexOf(selector);
  expect(from, selector).toBeGreaterThanOrEqual(0);
  return new Map([...css.slice(from, css.indexOf('}', from)).matchAll(/(--[a-z]+): (#[0-9a-f]{6})/g)].map((m) => [m[1] ?? '', m[2] ?? '']));
}

/** Relative luminance and contrast ratio, as WCAG 2.2 defines them. */
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(a: string, b: string): number {
  const [low = 0, high = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

describe('contrast (T61)', () => {
  it('is worked out as the standard does', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10);
    expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.48, 2); // the grey that just fails 4.5; from memory
  });
  it('the pit is dark in the same way, however it is asked for', () => {
    expect(colours(":root:not([data-theme='day'])")).toEqual(colours(":root[data-theme='pit']"));
  });
  it.each([':root {', ":root[data-theme='pit']"])('on the pad and around it is at least 7:1 in %s', (look) => {
    const c = colours(look);
    const of = (name: string) => c.get(name) ?? expect.fail(`${look} has no ${name}`);
    for (const [text, on] of [
      ['--ink', '--surface'], ['--ink', '--bg'], // figures on keys and in the read-back
      ['--blue', '--surface'], ['--bg', '--blue'], // keys with words, and what is pressed or keeps
      ['--pencil', '--surface'], ['--pencil', '--bg'],
    ] as const) expect(contrast(of(text), of(on)), `${text} on ${on}`).toBeGreaterThanOrEqual(7);
  });
});

describe('fields for figures (T62)', () => {
  const fields = readdirSync(src, { recursive: true, encoding: 'utf8' }).filter((f) => f.endsWith('.tsx')).flatMap((file) => [...readFileSync(join(src, file), 'utf8').matchAll(/<input\b[^\n]*?class="figure"[^\n]*/g)].map((m) => [file, m[0]] as const)).filter(([, field]) => !/autocapitalize|data-takes-gauge/.test(field)); // a code, a tag, a tolerance: not digits alone; what a gauge types opens no keyboard
  it('there are some', () => expect(fields.length).toBeGreaterThan(5));
  it.each(fields)('in %s take sign and comma from the keyboard that they open: %s', (_, field) => {
    expect(field).not.toMatch(/type="number"/);
    expect(field).toMatch(/inputMode=("decimal"|"numeric"|\{[^}]*'decimal'\})/);
  });
});
