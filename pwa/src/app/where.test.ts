import { describe, expect, it } from 'vitest';
import { inAppleTab, type Device } from './where';

const iPhone = 'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1';
const iPhoneApp = 'Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Mobile/15E148';
const mac = 'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Safari/605.1.15';
const android = 'Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Mobile Safari/537.36';

describe('the tab of an iPhone (T5)', () => {
  const cases: [string, Device, boolean, boolean][] = [
    ['a tab', { userAgent: iPhone, standalone: false }, false, true],
    ['a tab of an older one that says nothing', { userAgent: iPhone }, false, true],
    ['the Home Screen', { userAgent: iPhoneApp, standalone: true }, false, false],
    ['the Home Screen, said by its display', { userAgent: iPhoneApp }, true, false],
    ['an iPad that asks for desk pages', { userAgent: mac, maxTouchPoints: 5, standalone: false }, false, true],
    ['a desk', { userAgent: mac, maxTouchPoints: 0 }, false, false],
    ['another phone', { userAgent: android, maxTouchPoints: 5 }, false, false],
  ];
  for (const [name, device, display, want] of cases) it(name, () => expect(inAppleTab(device, display)).toBe(want));
});
