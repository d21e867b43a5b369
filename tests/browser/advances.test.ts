import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { makeTaxArea } from '#tests/support/set-up';
import { makeSharedSite, months } from './support/books';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  let page: Page;
  let address: string;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const { site } = await makeSharedSite(owner, { id: operator.siteId, code: 'QUAY', name: 'Quay Tavern', taxAreaId: (await makeTaxArea(owner)).id });
    address = `/operators/${operator.code}/sites/${site.id}`;
    bookkeeper = await running.visit({ device: 'desk' });
    page = bookkeeper.page;
    await page.goto(address);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    await page.getByText('No advance has been given here.').waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  it('is given by a small form that says what is missing and what the api refuses', async () => {
    await page.getByRole('button', { name: 'Give an advance' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'Record the advance' }).click();
    for (const message of ['Enter the amount in figures, such as 250.00.', 'Say on which day it was given.', 'Say why, in a few words.']) {
      await dialog.getByRole('link', { name: message }).waitFor();
    }
    await dialog.getByLabel('Amount in USD').fill('250.00');
    await dialog.getByLabel('Given on').fill('2099-01-01');
    await dialog.getByLabel('Reason').fill('A new bar counter.');
    await dialog.getByRole('button', { name: 'Record the advance' }).click();
    await dialog.getByRole('link', { name: 'Only what has been given is recorded.' }).waitFor();
    expect(await bookkeeper.look('advance-form')).toEqual([]);
    await dialog.getByLabel('Given on').fill(last.day(5));
    // Twice before the page could say that it is under way, as a slow phone lets one press it.
    await dialog.getByRole('button', { name: 'Record the advance' }).evaluate((button) => {
      button.click();
      button.click();
    });
    await page.getByRole('row', { name: /A new bar counter\. .*250\.00 .*250\.00/ }).waitFor();
    await soon(async () => expect(await page.getByRole('dialog').count()).toBe(0));
    expect((await running.api.operator.as('owner').get('/v1/advances').expect(200)).body.items).toHaveLength(1);
    expect(await bookkeeper.look('site-advances')).toEqual([]);
  });

  it('is paid back in part, by a form that says what stays open', async () => {
    const dialog = page.getByRole('dialog');
    await page.getByRole('button', { name: /^Record what was paid back: advance of / }).click();
    await dialog.getByLabel('Amount in USD').fill('300');
    await dialog.getByLabel('Paid on').fill(last.day(6));
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('link', { name: 'More than is open of the advance, which is $250.00.' }).waitFor();
    await dialog.getByLabel('Amount in USD').fill('100');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(/paid back \$100\.00 on .*; \$150\.00 of the advance stays open\.$/).waitFor();
    expect(await bookkeeper.look('advance-paid-back')).toEqual([]);
    await dialog.getByRole('button', { name: 'Book what was paid back' }).click();
    await page.getByRole('row', { name: /A new bar counter\. .*250\.00 .*150\.00/ }).waitFor();
    expect(await page.getByRole('button', { name: /^Write off the advance/ }).count()).toBe(0);
  });

  it('is open again when what was paid back turns out to be a mistake', async () => {
    const dialog = page.getByRole('dialog');
    await page.getByRole('button', { name: /^What happened with it: advance of / }).click();
    await page.getByRole('button', { name: /^Undo it: Paid back, \$100\.00 on / }).click();
    await dialog.getByLabel('Reason').fill('It was another bar.');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText('$100.00 of the advance is open again, by a counter-entry; $250.00 is open then.').waitFor();
    await dialog.getByText('The books have it under today.').waitFor();
    await dialog.getByRole('button', { name: 'Undo it' }).click();
    await page.getByRole('row', { name: /Paid back .*undone since/ }).waitFor();
    await page.getByRole('row', { name: /Undone .*It was another bar\. .*\+100\.00 250\.00/ }).waitFor();
    expect(await bookkeeper.look('advance-history')).toEqual([]);
  });

  it('is given up by the owner, for a reason', async () => {
    const person = await running.visit({ device: 'desk' });
    await person.page.goto(address);
    await signIn(person, running.api.operator.as('owner'));
    await person.page.getByRole('button', { name: /^Write off the advance: / }).click();
    const dialog = person.page.getByRole('dialog');
    await dialog.getByLabel('Reason').fill('The bar has closed.');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(/^\$250\.00 is given up: /).waitFor();
    await dialog.getByRole('button', { name: 'Write off the advance' }).click();
    await person.page.getByRole('row', { name: /A new bar counter\. .*250\.00 nothing/ }).waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('is listed for the site manager with its balance, without the reason and the form', async () => {
    const person = await running.visit({ device: 'phone' });
    await person.page.goto(address);
    await signIn(person, running.api.operator.as('site-manager'));
    await person.page.getByRole('row', { name: /250\.00 nothing/ }).waitFor();
    expect(await person.page.getByText('A new bar counter.').count()).toBe(0);
    expect(await person.page.getByRole('button', { name: 'Give an advance' }).count()).toBe(0);
    expect(await person.look('site-advances')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
