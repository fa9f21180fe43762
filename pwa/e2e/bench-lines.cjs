// Prints n notes of one new log, made by the core: `node bench-lines.cjs DIST JOB N`.
const { readFileSync, writeSync } = require('node:fs');
const { randomBytes } = require('node:crypto');
const { join } = require('node:path');
const [dist, job, n] = process.argv.slice(2);
require(join(dist, 'wasm_exec.js'));

(async () => {
  const go = new globalThis.Go();
  const { instance } = await WebAssembly.instantiate(readFileSync(join(dist, 'core.wasm')), go.importObject);
  void go.run(instance);
  const log = randomBytes(16).toString('hex');
  let prev = '';
  for (let seq = 1; seq <= Number(n); seq++) {
    const kind = seq === 1 ? 'log' : 'note';
    const body = seq === 1 ? { device: 'workshop', name: 'bench' } : { text: `note ${seq}`, of: { asm: '2123', at: 'main.3.journal' } };
    const draft = { log, seq, prev, at: '2031-04-12T10:22:31+01:00', by: 'idris', kind, over: [], after: [], body };
    const { id, raw } = JSON.parse(globalThis.witnessmark.compose(job, JSON.stringify(draft))).ok;
    prev = id;
    writeSync(1, `${raw}\n`);
  }
  process.exit(0);
})();
