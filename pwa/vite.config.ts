import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { gzipSync } from 'node:zlib';
import { defineConfig, type Plugin } from 'vite';

/** Files that the service worker keeps: all but itself. */
function listed(folder: string, under = ''): string[] {
  return readdirSync(join(folder, under), { withFileTypes: true }).flatMap((f) => {
    const path = under === '' ? f.name : `${under}/${f.name}`;
    return f.isDirectory() ? listed(folder, path) : [path];
  });
}

/** Writes the list of files with their hashes into sw.js: installing is all or nothing (T39). */
function precache(): Plugin {
  let folder = '';
  return {
    name: 'precache',
    apply: 'build',
    configResolved(to) {
      folder = resolve(to.root, to.build.outDir);
    },
    closeBundle() {
      const files = listed(folder).filter((f) => f !== 'sw.js').sort();
      const list = files.map((f) => [f === 'index.html' ? '/' : `/${f}`, createHash('sha256').update(readFileSync(join(folder, f))).digest('base64')]);
      const version = createHash('sha256').update(JSON.stringify(list)).digest('hex').slice(0, 16);
      const sw = join(folder, 'sw.js');
      const text = readFileSync(sw, 'utf8').replace(/(['"`])__FILES__\1/, JSON.stringify(JSON.stringify(list))).replace('__VERSION__', version);
      if (text.includes('__FILES__') || !text.includes(version)) throw new Error('the list of files did not get into sw.js');
      writeFileSync(sw, text);
      // Most of the app, compressed once: an office that starts need not do it before its first phone has the app. Not on the list.
      for (const core of files.filter((f) => f.endsWith('.wasm'))) writeFileSync(join(folder, `${core}.gz`), gzipSync(readFileSync(join(folder, core)), { level: 9 }));
    },
  };
}

export default defineConfig({
  base: '/',
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [precache()],
  worker: { format: 'es' },
  build: {
    target: 'es2022',
    modulePreload: false,
    assetsInlineLimit: 0,
    rollupOptions: {
      input: { main: 'index.html', sw: 'src/sw/sw.ts' },
      output: { entryFileNames: (chunk) => (chunk.name === 'sw' ? 'sw.js' : 'assets/[name]-[hash].js') },
    },
  },
  test: { include: ['src/**/*.test.ts'], testTimeout: 60_000 },
} as Parameters<typeof defineConfig>[0]);
