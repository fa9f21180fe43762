// Runs the browser specs: `node e2e/run.mjs [area [case]]`. Each spec file is one area and exports a list of named cases.
// Closes with "N passed, N failed"; a case that throws, or whose pages went against their content policy, has failed.
// Cases run in as many lanes as there are cores, two at the most: each lane is a process of its own with a browser, each case
// has its own server and its own phones.
import { fork } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { againstPolicy, closeBrowsers } from './lib.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const casesOf = async (file) => (await import(pathToFileURL(join(here, file)).href)).cases;

/** One after the other: these share the one display that browsers with windows have. */
const alone = 'engines.spec.mjs';

/** A lane: runs the case that it is told and says how it went, until nobody tells it any more. */
function lane() {
  process.on('message', async ({ file, i }) => {
    const started = performance.now();
    const [name, run] = (await casesOf(file))[i];
    try {
      await run();
      const against = againstPolicy.splice(0);
      if (against.length > 0) throw new Error(`a page went against its content policy (T56):\n${against.join('\n')}`);
      process.send({ file, ok: true, text: `ok    ${file} · ${name} (${Math.round(performance.now() - started)} ms)` });
    } catch (error) {
      againstPolicy.splice(0);
      process.send({ file, ok: false, text: `FAIL  ${file} · ${name}\n${error.stack ?? error}` });
    }
  });
  process.on('disconnect', () => void closeBrowsers().finally(() => process.exit(0)));
}

async function all(only, one) {
  const specs = readdirSync(here).filter((f) => f.endsWith('.spec.mjs') && (only === '' || f === `${only}.spec.mjs`));
  if (specs.length === 0) {
    console.error(`no browser spec named "${only}"`);
    return 1;
  }
  const waiting = [];
  for (const file of specs) (await casesOf(file)).forEach(([name], i) => (one === '' || one === name) && waiting.push({ file, i }));
  const running = new Set();
  const next = () => {
    const at = waiting.findIndex((c) => c.file !== alone || !running.has(alone));
    return at < 0 ? undefined : waiting.splice(at, 1)[0];
  };
  let passed = 0;
  let failed = 0;
  const through = () => new Promise((done) => {
    const child = fork(fileURLToPath(import.meta.url), ['--lane']);
    let now;
    const go = () => {
      now = next();
      if (now === undefined) return child.disconnect();
      running.add(now.file);
      child.send(now);
    };
    child.on('message', ({ file, ok, text }) => {
      running.delete(file);
      console.log(text);
      if (ok) passed++;
      else failed++;
      go();
    });
    child.on('exit', () => {
      if (now !== undefined) failed++, console.log(`FAIL  ${now.file} · the lane of its case ${now.i + 1} ended`);
      done();
    });
    go();
  });
  await Promise.all(Array.from({ length: Math.min(2, availableParallelism(), waiting.length) }, through));
  console.log(`${passed} passed, ${failed} failed`);
  return failed === 0 && passed > 0 ? 0 : 1;
}

if (process.argv[2] === '--lane') lane();
else process.exit(await all(process.argv[2] ?? '', process.argv[3] ?? ''));
