// Limits nobody set: common practice is offered, labelled as such, and judges
// nothing until the lead takes it.
import { accessible, deskSize, equal, picture, startServer, truthy } from '../lib.mjs';
import { paired } from '../steps.mjs';

async function offersOpen(phone) {
  await phone.page.evaluate(() => (location.hash = '#/job'));
  await phone.page.getByText(/^Not set; what is common practice/).click();
  const line = phone.page.locator('li', { hasText: 'cylinder: ring gap' });
  await line.waitFor();
  return line;
}

const ringGap = (phone) => phone.page.evaluate(() => (location.hash = `#/result?id=${encodeURIComponent('direct/2123/cyl.3.gap/built')}`));

async function commonPractice() {
  const server = await startServer({ demo: true });
  const fitter = await paired(server, 'fitter', 'P2', 'Idris Cole');
  const lead = await paired(server, 'lead', 'P1', 'Maud Ferris', { size: deskSize });
  try {
    const offer = await offersOpen(fitter);
    truthy((await offer.innerText()).includes('0.321 to 0.428'), 'the figure is worked out from the bore');
    truthy((await offer.innerText()).includes('Common practice, no source'), 'it is labelled');
    await accessible(fitter.page, 'offers of common practice');
    await picture(fitter.page, 'limits-offered');
    await offer.getByRole('button', { name: 'Propose it' }).click();
    await fitter.page.locator('li', { hasText: 'cylinder: ring gap' }).getByText('not accepted').waitFor();
    await lead.page.evaluate(() => (location.hash = '#/job'));
    const proposed = lead.page.locator('li', { hasText: 'cylinder: ring gap' });
    await proposed.getByRole('button', { name: 'Accept it' }).waitFor();
    await ringGap(fitter);
    await fitter.page.getByText('limit not accepted').first().waitFor();
    await picture(fitter.page, 'limits-proposed');
    await proposed.getByRole('button', { name: 'Accept it' }).click();
    await fitter.page.getByText('within', { exact: true }).first().waitFor();
    await picture(fitter.page, 'limits-judged');
    equal(await lead.page.getByText(/^Not set; what is common practice/).locator('..').locator('li', { hasText: 'ring gap' }).count(), 0, 'what is taken is offered no more');
    await lead.page.evaluate(() => scrollTo(0, 400));
    await picture(lead.page, 'limits-desk');
    equal([...fitter.complaints, ...lead.complaints], [], 'the pages kept to their policy');
  } finally {
    await fitter.forget();
    await lead.forget();
    await server.stop();
  }
}

export const cases = [['common practice is offered, labelled, and judges only when the lead takes it', commonPractice]];
