import { describeWithProgram } from '#tests/support/outside-program';
import { makeTaxArea } from '#tests/support/set-up';
import { accept, collect, issueMonth, makeSharedSite, months, todayAtSites } from './support/books';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';

const { last } = months;
/** Of the operator, where the books are kept. */
let today: string;
/** ISO 13616 registry: the examples of Germany, of the United Kingdom and of France. */
const [OWN, PAYEE, OTHER] = ['DE89 3704 0044 0532 0130 00', 'GB29 NWBK 6016 1331 9268 19', 'FR14 2004 1010 0505 0001 3M02 606'];

/** The bookkeeper enters bank accounts, the owner confirms them, the bookkeeper pays last month's statements by a file for the bank, and the bank refuses one of them. */
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  let owner: Visit;

  const addressOf = (path: string) => `/operators/${running.api.operator.code}/${path}`;
  const signedIn = async (role: 'owner' | 'bookkeeper'): Promise<Visit> => {
    const visit = await running.visit({ device: 'desk' });
    await visit.page.goto(addressOf('payment-runs/accounts'));
    await signIn(visit, running.api.operator.as(role));
    return visit;
  };

  beforeAll(async () => {
    today = todayAtSites();
    running = await startConsole();
    const office = running.api.operator.as('owner');
    const taxAreaId = (await makeTaxArea(office)).id;
    for (const [code, name] of [['QUAY', 'Quay Tavern'], ['MILL', 'Mill House']] as const) {
      const site = await makeSharedSite(office, { code, name, taxAreaId });
      await accept(office, await collect(office, site, { on: last.day(12), coin: '640.00' }));
    }
    await issueMonth(running.api.operator, last);
    [bookkeeper, owner] = [await signedIn('bookkeeper'), await signedIn('owner')];
  }, 180_000);
  afterAll(() => running?.close());

  it('enters and confirms accounts, and pays by a file for the bank', async () => {
    const { page } = bookkeeper;
    const dialog = page.getByRole('dialog');
    for (const [whose, iban] of [['Your own account', OWN], ['Quay Tavern Hospitality', PAYEE], ['Mill House Hospitality', OTHER]] as const) {
      await page.getByRole('button', { name: 'Enter an account' }).click();
      await dialog.getByLabel('Whose').selectOption({ label: whose });
      await dialog.getByLabel('Account holder, as the bank has the name').fill(whose);
      await dialog.getByLabel('IBAN', { exact: true }).fill(iban);
      await dialog.getByLabel('Where it comes from').fill('Letter, called back.');
      await dialog.getByRole('button', { name: 'Enter an account' }).click();
      await page.getByRole('row', { name: new RegExp(`^${whose} .*ending in ${iban.replaceAll(' ', '').slice(-4)}`) }).waitFor();
    }
    expect(await bookkeeper.look('bank-accounts')).toEqual([]);

    await owner.page.reload();
    const confirming = owner.page.getByRole('dialog');
    await owner.page.getByRole('button', { name: 'Confirm the account of Quay Tavern Hospitality' }).click();
    await confirming.getByLabel('IBAN or account number, typed again').fill(OWN);
    await confirming.getByRole('button', { name: 'Confirm', exact: true }).click();
    await confirming.getByRole('link', { name: /^It is not the number that was proposed/ }).waitFor();
    await confirming.getByLabel('IBAN or account number, typed again').fill(PAYEE);
    await confirming.getByRole('button', { name: 'Confirm', exact: true }).click();
    for (const [whose, iban] of [['Your own account', OWN], ['Mill House Hospitality', OTHER]] as const) {
      await owner.page.getByRole('button', { name: `Confirm the account of ${whose}` }).click();
      await confirming.getByLabel('IBAN or account number, typed again').fill(iban);
      await confirming.getByRole('button', { name: 'Confirm', exact: true }).click();
      await confirming.waitFor({ state: 'hidden' });
    }
    await owner.page.getByText('No account waits to be confirmed.').waitFor();

    await page.goto(addressOf('payment-runs'));
    await page.getByText(/^2 transfers, together \$.* Paid from your account DE, ending in 3000\.$/).waitFor();
    expect(await bookkeeper.look('payment-runs')).toEqual([]);
    await page.getByRole('button', { name: 'Draft a payment run' }).click();
    await dialog.getByRole('button', { name: 'Draft a payment run' }).click();
    await page.getByRole('button', { name: 'Make the file' }).click();
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download the file' }).click()]);
    expect(download.suggestedFilename()).toMatch(/^payments-.*\.xml$/);
    expect(await bookkeeper.look('payment-run')).toEqual([]);
    await page.getByRole('button', { name: 'The bank has the file' }).click();
    await dialog.getByLabel('Sent on').fill(today);
    await dialog.getByRole('button', { name: 'The bank has the file' }).click();
    await page.getByText('State: with the bank.').waitFor();

    // What the bank refused, somebody else says than who downloaded the file.
    await owner.page.goto(page.url());
    await owner.page.getByRole('button', { name: 'Record the payments' }).click();
    await confirming.getByLabel('Paid on').fill(today);
    await confirming.getByText('The bank refused some of them').click();
    await confirming.getByLabel(/^Mill House, Mill House Hospitality: /).selectOption({ label: 'account closed' });
    expect(await owner.look('record-payments')).toEqual([]);
    await confirming.getByRole('button', { name: 'Record the payments' }).click();
    await owner.page.getByText('State: paid and booked.').waitFor();
    await owner.page.getByRole('row', { name: /^Mill House .* refused by the bank: account closed/ }).waitFor();

    await page.goto(addressOf('payment-runs/year-end'));
    await page.getByRole('row', { name: /^Quay Tavern Hospitality .* missing/ }).waitFor();
    await page.getByRole('button', { name: 'Enter number: Quay Tavern Hospitality' }).click();
    await dialog.getByLabel('Taxpayer number').fill('12-3456789');
    await dialog.getByRole('button', { name: 'Enter number', exact: true }).click();
    await page.getByRole('row', { name: /^Quay Tavern Hospitality .* ending in 6789/ }).waitFor();
    expect(await bookkeeper.look('year-end')).toEqual([]);
  });
});
