// A start that does not come about is told in words: no wait without an end and without a word.
import { accessible, equal, openPhone, startServer, truthy } from '../lib.mjs';
import { paired } from '../steps.mjs';

/** A phone that was never here, and a part of the app that does not come. */
async function partMissing() {
  const server = await startServer({ demo: true });
  const phone = await openPhone(server.origin);
  try {
    await phone.context.route(/\/assets\/worker-.*\.js/, (route) => route.abort());
    await phone.page.goto(`${server.origin}/`);
    await phone.page.getByText('This phone cannot start the app').waitFor();
    truthy((await phone.page.locator('body').innerText()).includes('close it and open it again'), 'it says what to do');
    await accessible(phone.page, 'a part that does not load');
    await phone.context.unroute(/\/assets\/worker-.*\.js/);
    await phone.page.reload();
    await phone.page.getByLabel('Code').waitFor(); // opened again, it starts
  } finally {
    await phone.forget();
    await server.stop();
  }
}

/** The store does not answer: another connection holds it in a transaction that does not end. */
async function storeSilent() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    const holder = await phone.context.newPage();
    await holder.goto(`${server.origin}/healthz`);
    await holder.evaluate(() => new Promise((resolve, reject) => {
      const asked = indexedDB.open('witnessmark');
      asked.onerror = () => reject(asked.error);
      asked.onsuccess = () => {
        const tx = asked.result.transaction(['meta'], 'readwrite');
        const again = () => !globalThis.enough && (tx.objectStore('meta').get('none').onsuccess = again);
        tx.objectStore('meta').get('none').onsuccess = () => (resolve(), again());
      };
    }));
    await phone.page.clock.install();
    await phone.page.reload();
    await phone.page.getByText('Starting.').waitFor();
    await phone.page.clock.fastForward(11_000);
    await phone.page.getByText('Still waiting for what this phone keeps').waitFor();
    await accessible(phone.page, 'a store that does not answer');
    await holder.evaluate(() => (globalThis.enough = true));
    await phone.page.locator('.drawing svg').filter({ visible: true }).first().waitFor(); // it answers: the wait is over by itself
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [
  ['a part that does not load is said', partMissing],
  ['a store that does not answer is said, and the wait ends by itself', storeSilent],
];
