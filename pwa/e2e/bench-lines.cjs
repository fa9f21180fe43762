// Prints one new log, made by the core: `node bench-lines.cjs JOB N` n notes of it, with `samples` for N a run of both
// engines with four hours of two gauges, one row a second.
const { readFileSync, writeSync } = require('node:fs');
const { randomBytes } = require('node:crypto');
const { join } = require('node:path');
const [job, n] = process.argv.slice(2);
const core = join(__dirname, '..', 'core');
require(join(core, 'wasm_exec.js'));

/** Kinds and bodies; one that is a function is told the ids before it. */
function* bodies() {
  yield ['log', { device: 'workshop', name: 'bench' }];
  if (n !== 'samples') {
    for (let seq = 2; seq <= Number(n); seq++) yield ['note', { text: `note ${seq}`, of: { asm: '2123', at: 'main.3.journal' } }];
    return;
  }
  yield ['run', { of: { asm: '2117' }, with: { asm: '2123' }, does: 'start', title: 'four hours' }];
  for (const asm of ['2117', '2123']) {
    const said = (elapsed, more) => ['run', (ids) => ({ of: { asm }, run: ids[1], elapsed: { t: String(elapsed), u: 's' }, ...more })];
    yield said(5, { does: 'event', event: 'fired' });
    yield said(9, { does: 'event', event: 'station', station: '800' });
    for (let from = 10; from < 4 * 3600; from += 300) {
      const figures = (f, digits) => Array.from({ length: 300 }, (_, i) => f(from + i).toFixed(digits)).join(' ');
      yield said(from, { does: 'samples', step: { t: '1', u: 's' }, columns: [
        { what: 'oil.pressure', u: 'bar', values: figures((s) => 2.3 + 0.1 * Math.sin(s / 7), 2) },
        { what: 'coolant', u: 'degC', values: figures((s) => 80 - 60 * Math.exp(-s / 900) + Math.sin(s / 11), 1) },
      ] });
    }
  }
}

(async () => {
  const go = new globalThis.Go();
  const { instance } = await WebAssembly.instantiate(readFileSync(join(core, 'core.wasm')), go.importObject);
  void go.run(instance);
  const log = randomBytes(16).toString('hex');
  const ids = [];
  for (const [kind, said] of bodies()) {
    const body = typeof said === 'function' ? said(ids) : said;
    const draft = { log, seq: ids.length + 1, prev: ids.at(-1) ?? '', at: new Date().toISOString(), by: 'idris', kind, over: [], after: [], body };
    const { id, raw } = JSON.parse(globalThis.witnessmark.compose(job, JSON.stringify(draft))).ok;
    ids.push(id);
    writeSync(1, `${raw}\n`);
  }
  process.exit(0);
})();
