// The strip stays in sight, so on every screen that is of one engine it says which.
import { equal, startServer } from '../lib.mjs';
import { open, paired, stored } from '../steps.mjs';

const of2117 = '2117 seventeen left · position A';
const of2123 = '2123 twenty-three right · position B';

/** Screens by their address, or by the address of the first link to one on another, with whose they are: '' of both engines, or of none. */
const screens = [
  ['#/result?id=clearance%2F2117%2Fmain.7%2Ffound', of2117], ['#/result?id=undersize%2F2123%2Fpin%2Ffound', of2123],
  ['#/results', ''], ['#/result?id=twin%2F2117%2B2123%2Fchain.length%2Fbuilt', ''],
  ['#/part?part=L-3', of2123], ['#/part?part=CH-1', of2117], ['#/part?part=GK-7', ''],
  ['#/job', of2123, '#/decision?'], ['#/today', of2123, '#/contest?'], ['#/point?asm=2123&at=pin.4.journal&point=b.V&cond=found', of2123, '#/entry?'],
  ['#/point?asm=2117&at=main.7.journal&point=b.V&cond=found', of2117], ['#/job', ''],
];

/** Two more whose address names no engine: the first of their kind on the phone, and the engine that its entry says. */
async function ofEntries(phone) {
  const entries = (await stored(phone, 'entries')).map(([id, e]) => ({ id, ...JSON.parse(e.raw) }));
  return ['snag', 'photo'].map((kind) => {
    const { id, body } = entries.find((e) => e.kind === kind && e.body.of?.asm !== undefined);
    return [`#/${kind}?id=${id}`, body.of.asm === '2117' ? of2117 : of2123];
  });
}

async function strips() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  const { page } = phone;
  try {
    for (const [hash, whose, link] of [...screens, ...(await ofEntries(phone))]) {
      await open(phone, hash);
      if (link !== undefined) await page.locator(`main a[href^="${link}"]`).filter({ visible: true }).first().click();
      await page.waitForFunction((address) => location.hash.startsWith(address), link ?? hash);
      await page.locator('main h1').first().waitFor();
      await page.locator('.strip').filter(whose === '' ? { hasNot: page.locator('.engine-name') } : { hasText: whose.slice(0, 4) }).waitFor();
      const name = page.locator('.strip .engine-name');
      const says = (await name.count()) === 0 ? '' : (await name.innerText()).replace(/\s+/g, ' ').trim();
      equal(says, whose, `${hash} ${link ?? ''}: the strip`);
      const side = await page.locator('.frame').evaluate((e) => ['left', 'right'].filter((s) => e.classList.contains(s)).join());
      equal(side, whose.includes('left') ? 'left' : whose.includes('right') ? 'right' : '', `${hash} ${link ?? ''}: the edge`);
    }
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [['the strip says whose engine a screen is of', strips]];
