import { expect, test } from 'vitest';
import { sizeOf } from './png';

test('the size of a drawing stands in its head', () => {
  expect(sizeOf('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 390 1184" class="map"><rect/></svg>')).toEqual({ width: 390, height: 1184 });
  expect(sizeOf('<?xml version="1.0" encoding="UTF-8"?>\n<svg viewBox="-5 0 10.5 20"></svg>')).toEqual({ width: 10.5, height: 20 });
  for (const none of ['', '<svg></svg>', '<p viewBox="0 0 1 1"></p>', '<svg viewBox="0 0 0 5"></svg>']) expect(() => sizeOf(none)).toThrow('no drawing');
});
