// The page's part of `make bench PART=samples`: four hours of what two gauges of two engines give by themselves, in the core as
// WebAssembly and on the run's screen.
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const demo = join(dirname(fileURLToPath(import.meta.url)), '..', '..', 'testdata', 'demo');

const worker = `
importScripts('/wasm_exec.js');
addEventListener('unhandledrejection', (e) => { throw e.reason; });
onmessage = async ({ data: { job, demo, lines, run } }) => {
  const go = new Go();
  const { instance } = await WebAssembly.instantiateStreaming(fetch('/core.wasm'), go.importObject);
  go.run(instance);
  const add = (text) => witnessmark.add(job, new TextEncoder().encode(text));
  const took = (f) => { const t = performance.now(); f(); return performance.now() - t; };
  const alone = took(() => { add(demo); witnessmark.digest(job); });
  const more = took(() => { add(lines); witnessmark.digest(job); });
  const views = [];
  for (let i = 0; i < 5; i++) views.push(took(() => witnessmark.view(job, 'run', JSON.stringify({ id: run }))));
  postMessage({ alone, more, shown: views.sort((a, b) => a - b)[2] });
};`;

/** The core in a worker of Chromium; served: serves a worker on a page of our own and gives back what it posts. */
export async function samplesInCore(served, lines) {
  const logs = readdirSync(demo).filter((f) => f.endsWith('.ndjson')).map((f) => readFileSync(join(demo, f), 'utf8')).join('');
  const job = JSON.parse(logs.slice(0, logs.indexOf('\n'))).job;
  const got = await served(worker, { job, demo: logs, lines: lines.text, run: lines.run });
  console.log('\nSamples of four hours in the core as WebAssembly, in a worker of Chromium');
  console.log(`  the demo taken in          ${got.alone.toFixed(0)} ms`);
  console.log(`  its samples after it       ${got.more.toFixed(0)} ms, ${lines.text.length} bytes`);
  console.log(`  the run's screen           ${got.shown.toFixed(0)} ms`);
}

/** The run's screen on a phone with it: until it stands, until its drawings are open, and a tap. */
export async function samplesOnScreen({ server, phone }, run) {
  const { page } = phone;
  const tools = await phone.context.newCDPSession(page);
  await tools.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await page.evaluate(() => {
    globalThis.long = [];
    new PerformanceObserver((l) => globalThis.long.push(...l.getEntries().map((e) => e.duration))).observe({ type: 'longtask' });
  });
  console.log("\nThe run's screen with the samples of four hours, the page's thread throttled 4 times (the worker is not)");
  const told = async (name, act, there) => {
    await page.evaluate(() => (globalThis.long = []));
    const began = performance.now();
    await act();
    await there();
    const took = performance.now() - began;
    await page.evaluate(() => new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r))));
    const long = await page.evaluate(() => globalThis.long);
    console.log(`  ${name.padEnd(26)} ${took.toFixed(0)} ms   ${long.length} tasks over 50 ms${long.length > 0 ? `, the longest ${Math.max(...long).toFixed(0)} ms` : ''}`);
  };
  await told('opened', () => page.evaluate((id) => (location.hash = `#/run?asm=2117&id=${id}`), run), () => page.getByTestId('tile-coolant').waitFor({ timeout: 60_000 }));
  await told('its drawings opened', () => page.locator('summary', { hasText: 'Drawings' }).click(), () => page.locator('.run figure svg').first().waitFor());
  await told('an event tapped', () => page.getByTestId('event-smoke white').click(), () => page.locator('.run-log .reading', { hasText: 'Smoke, white' }).first().waitFor({ state: 'attached' }));
  const frames = await page.evaluate(() => new Promise((done) => {
    const at = [];
    const look = (t) => (at.push(t), at.length < 121 ? requestAnimationFrame(look) : done(at.slice(1).map((x, i) => x - at[i]).sort((a, b) => a - b)));
    requestAnimationFrame(look);
  }));
  console.log(`  120 frames while it runs   p50 ${frames[60].toFixed(1)} ms, the longest ${frames.at(-1).toFixed(1)} ms`);
  await phone.forget();
  await server.stop();
}
