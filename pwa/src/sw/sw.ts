// The service worker: keeps the app's files, so that it starts cold with the
// office off. Installing is all or nothing, each file checked by its hash; a
// new version waits to be taken (T37 to T39). The volunteers' pages and the
// office's own routes are left alone.
/// <reference lib="webworker" />
declare const self: ServiceWorkerGlobalScope;

/** Paths and hashes; the build puts them in. */
const list = JSON.parse('__FILES__') as [string, string][];
const name = 'app-__VERSION__';

async function sum(bytes: ArrayBuffer): Promise<string> {
  return btoa(String.fromCharCode(...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))));
}

async function install(): Promise<void> {
  const got = await Promise.all(list.map(async ([path, hash]): Promise<[string, Response]> => {
    const reply = await fetch(path, { cache: 'no-cache' });
    if (!reply.ok || reply.redirected) throw new Error(`${path}: ${reply.status}`);
    const bytes = await reply.arrayBuffer();
    if ((await sum(bytes)) !== hash) throw new Error(`${path} is not the file that was built`);
    return [path, new Response(bytes, { headers: reply.headers })];
  }));
  const cache = await caches.open(name);
  for (const [path, reply] of got) await cache.put(path, reply);
}

/** The page that begins runs this version, and no other is open: nobody asks for a part of an older one any more. */
async function dropOlder(script: string): Promise<void> {
  if ((await (await caches.open(name)).match(script)) === undefined) return;
  if ((await self.clients.matchAll({ type: 'window', includeUncontrolled: true })).length > 1) return;
  for (const key of await caches.keys()) if (key.startsWith('app-') && key !== name) await caches.delete(key);
}

/** What is the office's own, and never the app's. */
const notOurs = /^\/(v|api|book|healthz|metrics)(\/|$)/;

async function answer(request: Request, path: string): Promise<Response> {
  const cache = await caches.open(name);
  const kept = await cache.match(request.mode === 'navigate' ? '/' : path);
  // A page of an older version asks for a part of its own: parts are named by what is in them (T38).
  return kept ?? (await caches.match(path)) ?? fetch(request);
}

self.addEventListener('install', (e) => e.waitUntil(install()));
self.addEventListener('activate', (e) => e.waitUntil(self.clients.claim()));
self.addEventListener('message', (e) => {
  if (e.data === 'take over') void self.skipWaiting();
  else if (typeof e.data === 'string') e.waitUntil(dropOlder(e.data));
});
self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== self.location.origin || notOurs.test(url.pathname)) return;
  e.respondWith(answer(e.request, url.pathname));
});

export {};
