import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { makeParty } from '#tests/support/set-up';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  let page: Page;

  beforeAll(async () => {
    running = await startConsole({});
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${running.api.operator.code}`);
    await signIn(owner, running.api.operator.as('owner'));
    await page.getByRole('heading', { name: 'Month end' }).waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  const dialog = () => page.getByRole('dialog');
  const row = (name: RegExp) => page.getByRole('row', { name });

  it('shows for how long records are kept and why, changes it with a reason, and places and lifts a hold', async () => {
    await page.getByRole('button', { name: 'The owner' }).click();
    await page.getByRole('link', { name: 'Keeping records' }).click();
    await row(/Mails sent.*as long as your office exists, until an owner decides.*7 years at least \(26 CFR 1\.6001-1\(e\).*One year of these is added/).waitFor();
    await row(/Files not taken in.*365 days.*Common practice, no source\..*nothing/).waitFor();
    expect(await owner.look('retention')).toEqual([]);

    await page.getByRole('button', { name: 'Change the period Files not taken in' }).click();
    await dialog().getByLabel('Days').fill('5');
    await dialog().getByRole('button', { name: 'Save' }).click();
    await dialog().getByText('Enter a whole number from 30 to 36500').first().waitFor();
    await dialog().getByLabel('Days').fill('400');
    await dialog().getByText('In the coming night would go: nothing.').waitFor();
    await dialog().getByLabel('Reason').fill('We look at them once a year');
    expect(await owner.look('retention-change')).toEqual([]);
    await dialog().getByRole('button', { name: 'Save' }).click();
    await row(/Files not taken in.*400 days.*We look at them once a year/).waitFor();

    await page.getByRole('button', { name: 'Change the period Mails sent' }).click();
    await dialog().getByLabel('Full years after the end of the year').fill('6');
    await dialog().getByRole('button', { name: 'Save' }).click();
    await dialog().getByText('Enter a whole number from 7 to 100').first().waitFor();
    await dialog().getByLabel('Full years after the end of the year').fill('8');
    await dialog().getByLabel('Reason').fill('As our adviser said');
    await dialog().getByRole('button', { name: 'Save' }).click();
    await row(/Mails sent.*8 full years after the end of its year.*As our adviser said/).waitFor();

    await page.getByRole('button', { name: 'Place a hold' }).click();
    await dialog().getByLabel('Reason').fill('The auditors come in May');
    await dialog().getByRole('button', { name: 'Place a hold' }).click();
    await row(/Files not taken in.*nothing: a hold stands/).waitFor();
    await page.getByRole('button', { name: 'Lift The auditors come in May' }).click();
    await dialog().getByLabel('Reason').fill('They have gone');
    await dialog().getByRole('button', { name: 'Lift' }).click();
    await page.getByText('No hold stands.').waitFor();
    expect(await owner.look('retention-lifted')).toEqual([]);
    expect(owner.complaints).toEqual([]);
  }, 120_000);

  it('erases who a payee was where nothing is in the way', async () => {
    const party = await makeParty(running.api.operator.as('bookkeeper'), { name: 'Ida Fenn' });
    await page.goto(`/operators/${running.api.operator.code}/parties/${party.id}`);
    await page.getByRole('heading', { name: 'Erase who they were' }).waitFor();
    await page.getByRole('button', { name: 'Erase', exact: true }).click();
    await dialog().getByText('The right to be erased is one of people, not of companies.', { exact: false }).waitFor();
    expect(await owner.look('payee-erasure')).toEqual([]);
    await dialog().getByRole('button', { name: 'Erase', exact: true }).click();
    await page.getByRole('heading', { name: 'Erased', exact: true }).waitFor();
    await page.getByText(/^Who they were was erased on/).waitFor();
    expect(owner.complaints).toEqual([]);
  }, 120_000);
});
