// Keys that come faster than the phone keeps: none is lost, none lands at the point before.
import { equal, startServer } from '../lib.mjs';
import { installed, open, paired } from '../steps.mjs';

const padAt = (p, at, point) => p.page.locator(`.pad[data-at="pad:2117/${at}/${point}/found"]`);

/** Keep, and at once two keys more, in one task of the page: nothing can come between. */
const keepAndType = (pad, keys) => pad.evaluate((box, typed) => {
  box.querySelector('[data-testid=keep]').click();
  for (const key of typed) box.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
}, [...keys]);

async function ahead() {
  const server = await startServer({ demo: true });
  const p = await paired(server, 'fitter', 'P2', 'Idris Cole');
  try {
    await installed(p);
    await p.offline(true);
    await open(p, '#/point?asm=2117&at=main.2.journal&point=b.V&cond=found');
    const pad = padAt(p, 'main.2.journal', 'b.V');
    await pad.focus();
    await p.page.keyboard.type('74.981');
    await pad.getByTestId('keep').filter({ hasText: '74.981' }).waitFor();
    await keepAndType(pad, '74');
    const next = padAt(p, 'main.2.journal', 'b.H');
    await next.getByTestId('readback').filter({ hasText: '74' }).waitFor();
    await p.page.locator('.kept', { hasText: '74.981' }).waitFor();
    await next.focus();
    await p.page.keyboard.type('.979');
    await next.getByTestId('keep').filter({ hasText: '74.979' }).waitFor();
    await keepAndType(next, '5');
    await p.page.locator('.kept', { hasText: '74.979' }).waitFor();
    // Back before the next point is drawn: the pad is free, with what was typed meanwhile and no more.
    await open(p, '#/point?asm=2117&at=main.2.journal&point=b.V&cond=found');
    await padAt(p, 'main.2.journal', 'b.V').waitFor();
    equal(/98|97/.test(await pad.getByTestId('readback').innerText()), false, 'nothing of the values kept');
    equal(p.complaints, [], 'the page kept to its policy');
  } finally {
    await p.forget();
    await server.stop();
  }
}

export const cases = [['keys faster than the phone begin the next value', ahead]];
