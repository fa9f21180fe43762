// Runs the browser specs: `node e2e/run.mjs [area]`. Each spec file is one area and exports a list of named cases.
// Closes with "N passed, N failed"; a case that throws, or whose
// pages went against their content policy, has failed.
import { readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { againstPolicy } from './lib.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const only = process.argv[2] ?? '';

const specs = readdirSync(here).filter((f) => f.endsWith('.spec.mjs') && (only === '' || f === `${only}.spec.mjs`));
if (specs.length === 0) {
  console.error(`no browser spec named "${only}"`);
  process.exit(1);
}

let passed = 0;
let failed = 0;
for (const file of specs) {
  const { cases } = await import(pathToFileURL(join(here, file)).href);
  for (const [name, run] of cases) {
    const started = performance.now();
    try {
      await run();
      const against = againstPolicy.splice(0);
      if (against.length > 0) throw new Error(`a page went against its content policy (T56):\n${against.join('\n')}`);
      passed++;
      console.log(`ok    ${file} · ${name} (${Math.round(performance.now() - started)} ms)`);
    } catch (error) {
      failed++;
      console.log(`FAIL  ${file} · ${name}\n${error.stack ?? error}`);
    }
  }
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
