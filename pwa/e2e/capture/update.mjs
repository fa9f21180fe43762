// A new version of the app while somebody works: it is told, it waits, and what is not handed in outlives it (T38).
import { createServer, request } from 'node:http';
import { accessible, equal, picture, startServer, truthy } from '../lib.mjs';
import { paired } from '../steps.mjs';

/** Stands before the server and can serve the next version: a service worker with another name, so another store of files. */
async function front(server) {
  let next = false;
  let served = 0;
  const proxy = createServer((req, res) => {
    const onward = request(`${server.origin}${req.url}`, { method: req.method, headers: { ...req.headers, 'accept-encoding': 'identity' } }, (reply) => {
      if (!next || req.url !== '/sw.js' || reply.statusCode !== 200) {
        res.writeHead(reply.statusCode, reply.headers);
        reply.pipe(res);
        return;
      }
      const parts = [];
      reply.on('data', (d) => parts.push(d));
      reply.on('end', () => {
        const text = Buffer.concat(parts).toString();
        const changed = text.replace(/app-[0-9a-f]{16}/, 'app-0123456789abcdef');
        if (changed !== text) served += 1;
        res.writeHead(200, { ...reply.headers, etag: '"next"', 'content-length': Buffer.byteLength(changed) }).end(changed);
      });
    });
    onward.on('error', () => res.destroy());
    req.pipe(onward);
  });
  await new Promise((resolve) => proxy.listen(0, '127.0.0.1', resolve));
  return {
    origin: `http://127.0.0.1:${proxy.address().port}`,
    release: () => (next = true),
    served: () => served,
    close: () => new Promise((resolve) => { proxy.close(resolve); proxy.closeAllConnections(); }),
  };
}

/** The stores of files, and whether a worker waits. */
const workers = (page) => page.evaluate(async () => {
  const r = await navigator.serviceWorker.getRegistration();
  return { waiting: r.waiting !== null, files: (await caches.keys()).filter((k) => k.startsWith('app-')).sort() };
});

const typed = (page) => page.locator('[data-testid=keep]').innerText();

/** Kept with no signal, half a figure on the pad, a new version arrives: told, not taken; taken by tap: the kept entry and the half figure are there. */
async function updateWaits() {
  const server = await startServer({ demo: true });
  const door = await front(server);
  const { page, offline, complaints, forget } = await paired(server, 'fitter', 'P2', 'Idris Cole', { origin: door.origin });
  try {
    await page.evaluate(() => navigator.serviceWorker.ready);
    await page.reload(); // the worker answers for the page from now on
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    const old = (await workers(page)).files;
    equal(old.length, 1, 'stores of files before');

    await offline(true);
    await page.evaluate(() => (location.hash = '#/point?asm=2117&at=pin.1.journal&point=a.V&cond=found'));
    await page.getByRole('heading', { name: /big-end pin 1/ }).waitFor();
    await page.getByRole('group', { name: 'Number pad' }).focus();
    await page.keyboard.type('61.951');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.951'));
    await page.getByTestId('keep').click();
    await page.waitForFunction(() => location.hash.includes('point=a.H'));
    const waits = await page.getByTestId('phone-state').innerText();
    truthy(/only on this phone/.test(waits), `kept with no signal: ${waits}`);

    await page.getByRole('group', { name: 'Number pad' }).focus();
    await page.keyboard.type('61.9');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.9'));
    await page.evaluate(() => (globalThis.sameDocument = true));
    // The new version comes with the next signal; the exchange is held, so that the entry stays only here.
    await page.context().route(/\/(v|api)\//, (r) => r.abort());
    door.release();
    await offline(false);
    await page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());
    await page.getByText('A new version is here.').waitFor();
    truthy(door.served() > 0, 'a service worker of another version was served');
    const held = await workers(page);
    equal([held.waiting, held.files.length, held.files.includes(old[0])], [true, 2, true], 'it waits beside the one that is used');
    equal(await page.evaluate(() => globalThis.sameDocument), true, 'the page was not loaded again');
    truthy(/61\.9/.test(await typed(page)), 'the half figure is still on the pad');
    await page.keyboard.type('6');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.96'));
    await accessible(page, 'a new version waits');
    await picture(page, 'update-waits');

    await page.getByRole('button', { name: 'Take it now' }).click();
    await page.waitForFunction(() => globalThis.sameDocument === undefined && document.querySelector('[data-testid=keep]') !== null);
    equal(await workers(page), { waiting: false, files: ['app-0123456789abcdef'] }, 'the new one alone is used');
    await page.waitForFunction(() => document.querySelector('[data-testid=keep]')?.textContent?.includes('61.96'));
    equal(await page.getByText('A new version is here.').count(), 0, 'nothing more waits');
    equal(await page.getByTestId('phone-state').innerText(), waits, 'the entry is still only on this phone');
    await page.context().unroute(/\/(v|api)\//);
    await page.evaluate(() => (location.hash = '#/phone'));
    await page.getByRole('button', { name: 'Hand in and fetch' }).click();
    await page.getByText('Nothing is only on this phone.').waitFor();
    equal(complaints, [], 'complaints of the page');
  } finally {
    await forget();
    await door.close();
    await server.stop();
  }
}

export const cases = [['a new version waits, and what is not handed in outlives it', updateWaits]];
