// The Saturday's core in two more engines: pair, start with nobody answering, keep a value and a photo, be killed, come back,
// hand in. WebKitGTK keeps nothing beyond its session when it is driven, so there the page is loaded anew instead of killed.
import { fileURLToPath } from 'node:url';
import { firefox, firefoxPath, webkit, webkitPath } from './engines.mjs';
import { equal, startServer, truthy } from './lib.mjs';

const picture = fileURLToPath(new URL('../../testdata/demo/gk-7.jpg', import.meta.url));
const state = "document.querySelector('[data-testid=phone-state]')?.textContent";

/**
 * Opens the app anew with nobody answering, as its own button does. WebKitGTK leaves a transaction open whose worker ended in the
 * middle of it, and the next page's wait behind it for ever.
 */
async function startAlone(phone) {
  await phone.open('#/phone');
  await phone.evaluate('globalThis.before = true');
  await phone.tap('Open the app again');
  await phone.is('globalThis.before === undefined', 'the page to be another');
  await phone.open('#/');
  await phone.is("document.querySelector('.drawing svg')", 'a start with nobody answering');
}

async function paired(phone, server) {
  await phone.goto(`${server.origin}/#pair=${server.pair('fitter').code}`);
  await phone.tap('Pair this phone');
  await phone.tap('Idris Cole');
  await phone.is(`${state} === 'all handed in'`, 'the first fetch');
  await phone.is('navigator.serviceWorker.controller !== null || (navigator.serviceWorker.ready.then((r) => (globalThis.sw = r.active?.state)), globalThis.sw === "activated")', 'the app to be kept on the phone');
}

async function saturday(launch, { survives }) {
  let server = await startServer({ demo: true });
  const { port, folder, origin } = server;
  let phone = await launch();
  try {
    await paired(phone, server);
    await server.stop({ keep: true });
    await startAlone(phone);
    await phone.open('#/point?asm=2117&at=main.2.journal&point=b.V&cond=found');
    await phone.is("document.querySelector('.pad')", 'the pad');
    await phone.type('74.987');
    await phone.tap('Keep 74.987');
    await phone.is(`${state}?.startsWith('1 ') || ${state}?.startsWith('2 ')`, 'the value to be saved');
    const before = Number.parseInt(await phone.evaluate(state), 10);
    await phone.open('#/point?asm=2117&at=main.2.journal&point=b.V&cond=found');
    await phone.is("document.querySelector('input[type=file]')", 'the camera');
    await phone.upload('input[type=file]', picture);
    await phone.is(`Number.parseInt(${state}, 10) > ${before}`, 'the photo to be saved');
    const waits = await phone.evaluate(state);
    if (survives) {
      const { profile } = phone;
      await phone.kill();
      phone = await launch(profile);
    } else await startAlone(phone);
    await phone.goto(`${origin}/#/point?asm=2117&at=main.2.journal&point=b.V&cond=found`);
    await phone.is("document.querySelector('.reading .value')?.textContent.includes('74.987')", 'the value after the browser was gone');
    equal(await phone.evaluate(state), waits, 'what only this phone has');
    server = await startServer({ data: folder, port });
    await phone.evaluate("dispatchEvent(new Event('online'))");
    await phone.is(`${state} === 'all handed in'`, 'everything to be handed in');
    truthy((await phone.text()).includes('74.987'), 'the value stands');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

const unsent = async (phone) => Number.parseInt(await phone.evaluate(state), 10) || 0;

/** Empties the pad, presses keys one upon the other, and keeps what then stands there. */
const press = (keys) => `{
  const pad = document.querySelector('.pad');
  const down = (key) => pad.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
  down('Escape');
  for (const label of ${JSON.stringify(keys)}) pad.querySelector(\`.key[aria-label="\${label}"]\`).click();
  down('Enter');
}`;
const value = ['7', '4', 'Decimal point', '9', '8'];

/**
 * A value is typed faster than the store writes down what is half filled in, and kept; the page is loaded anew so many ms later.
 * It says so again: in WebKitGTK a step to the next place at the same moment takes a reload that was asked for away.
 */
const tornAway = (ms) => `new Promise((typed) => {
  globalThis.before = true;
  ${press([...value, ...Array(60).fill('Change the sign'), '7'])}
  const anew = () => {
    location.reload();
    setTimeout(anew, 1000);
  };
  setTimeout(anew, ${ms});
  typed();
})`;

async function keepsOne(phone, who) {
  await phone.is("document.querySelector('.pad')", 'the pad');
  const before = await unsent(phone);
  await phone.evaluate(`(() => { ${press([...value, '6'])} })()`);
  await phone.is(`Number.parseInt(${state}, 10) > ${before} && document.querySelector('.readback .faint')`, `${who} to keep a value and ask for the next`);
}

/** Again and again the page ends with its worker in the middle of its work; what was kept is there, and the next page keeps more. */
async function torn(launch) {
  let server = await startServer({ demo: true });
  const { port, folder } = server;
  const phone = await launch();
  try {
    await paired(phone, server);
    await server.stop({ keep: true });
    await phone.open('#/point?asm=2117&at=main.2.journal&point=b.V&cond=found');
    await keepsOne(phone, 'the first page'); // so that what came before, the person, is on the disk
    for (const ms of [0, 20, 40, 80, 120, 160]) {
      const before = await unsent(phone);
      await phone.evaluate(tornAway(ms));
      await phone.is(`globalThis.before === undefined && document.querySelector('.pad') && ${state}`, `another page, after ${ms} ms`);
      const there = await unsent(phone);
      truthy(there >= before, `${before} were only on this phone, and after ${ms} ms ${there}`);
      await keepsOne(phone, `the page after ${ms} ms`);
    }
    server = await startServer({ data: folder, port });
    await phone.evaluate("dispatchEvent(new Event('online'))");
    await phone.is(`${state} === 'all handed in'`, 'everything to be handed in');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

const installed = (path, name) => truthy(path !== undefined, `${name} is not installed; .ci/deps installs it`);

export const cases = [
  ['Firefox: offline, killed, handed in', async () => {
    installed(firefoxPath, 'firefox-esr');
    await saturday(firefox, { survives: true });
  }],
  ['WebKitGTK: offline, loaded anew, handed in', async () => {
    installed(webkitPath, 'webkit2gtk-driver');
    await saturday(webkit, { survives: false });
  }],
  ['Firefox: loaded anew in the middle of its writing', async () => {
    installed(firefoxPath, 'firefox-esr');
    await torn(firefox);
  }],
  ['WebKitGTK: loaded anew in the middle of its writing', async () => {
    installed(webkitPath, 'webkit2gtk-driver');
    await torn(webkit);
  }],
];
