// What is drawn is read by a decoder that shares nothing with the encoder.
import jsqr from 'jsqr';
import { expect, test } from 'vitest';
import { modules } from './qr';

const read = (typeof jsqr === 'function' ? jsqr : (jsqr as { default: typeof jsqr }).default);

/** The path as dots, some to a module, as a printer would lay it down. */
function printed(text: string, scale: number): { pixels: Uint8ClampedArray; side: number } {
  const { size, path } = modules(text);
  const side = size * scale;
  const pixels = new Uint8ClampedArray(side * side * 4).fill(255);
  for (const [, x, y, w] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    for (let py = Number(y) * scale; py < (Number(y) + 1) * scale; py++) {
      for (let px = Number(x) * scale; px < (Number(x) + Number(w)) * scale; px++) pixels.fill(0, (py * side + px) * 4, (py * side + px) * 4 + 3);
    }
  }
  return { pixels, side };
}

test.each([
  'https://heron.example/#/t?a=2123&j=b8eb03cd',
  'https://heron.example/#/t?a=2123&p=main.3.journal&j=b8eb03cd',
  'http://127.0.0.1:8080/#/t?t=2123%3Acrank&j=b8eb03cd',
  'https://a-long-name-of-a-workshop.heritage-railway.example.org/#/t?a=2117&p=gasket.compressed&j=b8eb03cd',
  'https://heron.example/#/t?s=Prüfstand+2&j=b8eb03cd',
])('%s', (text) => {
  const { pixels, side } = printed(text, 4);
  expect(read(pixels, side, side)?.data).toBe(text);
});

test('a code with a thumb mark on it is still read', () => {
  const text = 'https://heron.example/#/t?a=2123&p=main.3.journal&j=b8eb03cd';
  const { pixels, side } = printed(text, 4);
  for (let y = side / 2; y < side / 2 + 20; y++) pixels.fill(128, (y * side + side / 2) * 4, (y * side + side / 2 + 20) * 4);
  expect(read(pixels, side, side)?.data).toBe(text);
});

test('four modules of white stand around it', () => {
  const { size, path } = modules('2123');
  for (const [, x, y, w] of path.matchAll(/M(\d+) (\d+)h(\d+)/g)) {
    expect(Math.min(Number(x), Number(y))).toBeGreaterThanOrEqual(4);
    expect(Math.max(Number(x) + Number(w), Number(y) + 1)).toBeLessThanOrEqual(size - 4);
  }
});
