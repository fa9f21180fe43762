// Matching the pair in a real browser: a round, a screw, a round, with no signal.
import { equal, startServer } from '../lib.mjs';
import { paired, ready, stored } from '../steps.mjs';
import { begun, logged, tapped, typed } from './steps.mjs';

const round = [['500', '482', '521'], ['800', '790', '826'], ['1100', '1088', '1118']];
const after = [['500', '500', '503'], ['800', '802', '806'], ['1100', '1101', '1106']];

/** Holds each station and types the speed of both engines, one after the other. */
async function readRound(phone, n, stations) {
  for (const [station, left, right] of stations) {
    for (const [side, asm, speed] of [['left', '2117', left], ['right', '2123', right]]) {
      await phone.page.getByRole('button', { name: `${asm} ${side}` }).click();
      await phone.page.locator('.strip', { hasText: asm }).waitFor();
      const hold = phone.page.locator('.stations').getByRole('button', { name: new RegExp(`^${station}\\srpm$`) });
      await hold.click();
      await phone.page.locator('.stations button[aria-pressed=true]', { hasText: station }).waitFor();
      await typed(phone, 'speed', speed);
      await logged(phone, `${asm}: Speed ${speed}`);
    }
  }
  await logged(phone, `round ${n}`);
}

async function matched() {
  const server = await startServer({ demo: true });
  const phone = await paired(server, 'lead', 'P1', 'Maud Ferris');
  try {
    await begun(phone, { asm: '2117', title: 'pair, uncoupled' });
    await ready(phone);
    await phone.offline(true);
    await tapped(phone, 'fired', '2117: Fired');
    await phone.page.getByRole('button', { name: '2123 right' }).click();
    await tapped(phone, 'fired', '2123: Fired');
    await readRound(phone, 1, round);
    await phone.page.locator('summary', { hasText: 'Matching, round 1' }).click();
    await phone.page.getByTestId('match-state').getByText('outside: 2123 runs 39', { exact: false }).waitFor();
    await phone.page.getByRole('button', { name: 'out', exact: true }).click();
    await phone.page.getByRole('button', { name: '0.75 of a turn' }).click();
    await phone.page.getByTestId('moved').click();
    await phone.page.locator('summary', { hasText: 'Matching, round 2' }).waitFor();
    await phone.page.locator('summary', { hasText: 'Matching, round 2' }).click();
    await readRound(phone, 2, after);
    await phone.page.locator('summary', { hasText: 'Matching, round 2' }).click();
    await phone.page.getByTestId('match-state').getByText('Inside the band at every station once.', { exact: false }).waitFor();
    await phone.page.getByTestId('next-round').click();
    await phone.page.locator('summary', { hasText: 'Matching, round 3' }).waitFor();
    while (!(await stored(phone, 'drafts')).some(([, draft]) => draft?.round === 3)); // what is chosen goes to the disk behind the screen
    await phone.page.reload(); // the round that was begun outlives it
    await phone.page.locator('summary', { hasText: 'Matching, round 3' }).waitFor();
    await readRound(phone, 3, after);
    await phone.page.locator('summary', { hasText: 'Matching, round 3' }).click();
    await phone.page.getByTestId('match-state').getByText('twice running', { exact: false }).waitFor();
    await phone.page.getByText('2123, idle stop: 0.75 of a turn out from where it began').waitFor();
    await phone.offline(false);
    await ready(phone);
    equal(phone.complaints, [], 'the page kept to its policy');
  } finally {
    await phone.forget();
    await server.stop();
  }
}

export const cases = [
  ['the pair matched in three rounds, with no signal', matched],
];
