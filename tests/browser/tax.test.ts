import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { accept, collect, issueMonth, makeAreaWithTax, makeSharedSite, months, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  let page: Page;
  let quay: RunningSite;
  let mill: RunningSite;
  const monthInput = last.startsOn.slice(0, 7);

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const taxAreaId = (await makeAreaWithTax(owner)).id;
    quay = await makeSharedSite(owner, { code: 'QUAY', name: 'Quay Tavern', taxAreaId });
    mill = await makeSharedSite(owner, { code: 'MILL', name: 'Mill Diner', taxAreaId });
    await accept(owner, await collect(owner, quay, { on: last.day(12), coin: '520.00' }));
    await issueMonth(operator, last);
    bookkeeper = await running.visit({ device: 'desk' });
    page = bookkeeper.page;
    await page.goto(`/operators/${operator.code}`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    // The way from the beginning leads on to the month end; only then is a click somewhere else meant to last.
    await page.getByRole('heading', { name: last.title }).waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  const figure = (name: string) => page.getByRole('row', { name: new RegExp(`^${name}`) });

  it('shows the month that is over, agreed with what settlements booked', async () => {
    await page.getByRole('link', { name: 'Tax', exact: true }).click();
    await page.getByRole('heading', { name: 'Tax returns' }).waitFor();
    await soon(async () => expect(await page.getByLabel('Month').inputValue()).toBe(monthInput));
    // 1,077.50 inside 4.5 %: 46.40.
    await figure('Tax of the return').getByText('$46.40').waitFor();
    await figure('Booked by settlements').getByText('$46.40').waitFor();
    await page.getByText('The return is to the unit what settlements booked.').waitFor();
    await page.getByText('This month has not been recorded as filed.').waitFor();
    expect(await bookkeeper.look('tax')).toEqual([]);
  });

  it('opens a site to its machines', async () => {
    await page.getByRole('button', { name: 'Show machines Quay Tavern' }).click();
    await page.getByRole('table', { name: 'Machines of Quay Tavern' }).getByRole('row', { name: /QUAY-1 Pool table State sales tax/ }).waitFor();
    expect(await bookkeeper.look('tax-machines')).toEqual([]);
  });

  it('is downloaded as CSV', async () => {
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(download.suggestedFilename()).toMatch(new RegExp(`^tax-.*-${monthInput}\\.csv$`));
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/^level,area,month,[^]*\r\ntotal,[^]*,46\.40,46\.40\r\n/);
  });

  it('is recorded as filed, with a day and a reference', async () => {
    await page.getByRole('button', { name: 'Record as filed' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByLabel('Filed on').fill(last.day(28));
    await dialog.getByRole('button', { name: 'Record as filed' }).click();
    await dialog.getByRole('alert').getByText(/The month goes on until/).waitFor();
    expect(await bookkeeper.look('tax-filing')).toEqual([]);
    await dialog.getByLabel('Filed on').fill(months.present.day(1));
    await dialog.getByLabel('Reference of the authority (optional)').fill('DR-15 4711');
    await dialog.getByRole('button', { name: 'Record as filed' }).click();
    await dialog.waitFor({ state: 'detached' });
    await page.getByText(/^Return 1 of the month was filed on .* with a tax of \$46.40.$/).waitFor();
    await page.getByText('Nothing has changed since.').waitFor();
    await page.getByText('Over all months, settlements have booked $0.00 that no return has filed yet.').waitFor();
    expect(await page.getByRole('button', { name: 'Record as filed' }).count()).toBe(0);
    await page.getByRole('table', { name: 'Filed returns' }).getByRole('row', { name: /original .* DR-15 4711 \$46\.40/ }).waitFor();
  });

  it('is paid, after saying what will be booked, and open again when the payment came back', async () => {
    const dialog = page.getByRole('dialog');
    await page.getByRole('button', { name: 'Record a tax payment' }).click();
    await soon(async () => expect(await dialog.getByLabel('Amount in USD').inputValue()).toBe('46.40'));
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('link', { name: 'Enter the day.' }).waitFor();
    await dialog.getByLabel('Paid on').fill(months.present.day(1));
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(/^Paid to the authority: \$46\.40 through the bank on /).waitFor();
    expect(await bookkeeper.look('tax-payment')).toEqual([]);
    await dialog.getByRole('button', { name: 'Book the tax payment' }).click();
    await figure('Filed and not paid yet').getByText('$0.00').waitFor();
    await page.getByRole('button', { name: /^Reverse it: \$46\.40 of / }).click();
    await dialog.getByLabel('Came back on').fill(months.present.day(1));
    await dialog.getByLabel('Reason').fill('A wrong account.');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('button', { name: 'Reverse it' }).click();
    await figure('Filed and not paid yet').getByText('$46.40').waitFor();
    expect(await bookkeeper.look('tax-payments')).toEqual([]);
  });

  it('is amended after a count that came late, and says why it differs', async () => {
    const owner = running.api.operator.as('owner');
    await accept(owner, await collect(owner, mill, { on: last.day(20), coin: '100.00' }));
    await page.reload();
    await page.getByRole('row', { name: /^Not settled yet .* MILL/ }).waitFor();
    await page.getByText(/Filed again, it is an amended return/).waitFor();
    expect(await bookkeeper.look('tax-amended')).toEqual([]);
    await page.getByRole('button', { name: 'Record the amended return' }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Record the amended return' }).click();
    await page.getByText(/^Return 2 of the month was filed on/).waitFor();
  });

  it('is read again with its figures as they were filed, whatever came later', async () => {
    const returns = page.getByRole('table', { name: 'Filed returns' });
    await returns.getByRole('row', { name: /, return 2 amended / }).waitFor();
    expect(await returns.getByRole('row').count()).toBe(3);
    await returns.getByRole('row', { name: /original/ }).getByRole('link').click();
    await page.getByText('Return 1 of the month (original), with its figures as they were filed.').waitFor();
    // The count that came afterwards is in the second return alone.
    await figure('Tax of the return').getByText('$46.40').waitFor();
    await page.getByText(/Reference of the authority: DR-15 4711\. Recorded by you, /).waitFor();
    await page.getByRole('button', { name: 'Show machines Quay Tavern' }).click();
    await page.getByRole('table', { name: 'Machines of Quay Tavern' }).getByRole('row', { name: /QUAY-1/ }).first().waitFor();
    expect(await bookkeeper.look('tax-return')).toEqual([]);
    await page.getByRole('link', { name: 'See the month as it is now' }).click();
    await page.getByText(/^Return 2 of the month was filed on/).waitFor();
    await page.getByRole('link', { name: 'See the return as it was filed' }).click();
    await page.getByText('Return 2 of the month (amended), with its figures as they were filed.').waitFor();
    await page.getByText(/^Against the return before, the tax changed by \+\$/).waitFor();
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('fits a phone, and says when no tax is in force', async () => {
    const person = await running.visit({ device: 'phone' });
    await person.page.goto(`/operators/${running.api.operator.code}/tax?month=${monthInput}`);
    await signIn(person, running.api.operator.as('auditor'));
    await person.page.getByText(/^Return 2 of the month/).waitFor();
    expect(await person.page.getByRole('button', { name: /Record/ }).count()).toBe(0);
    expect(await person.look('tax')).toEqual([]);
    await person.page.goto(`/operators/${running.api.operator.code}/tax?month=2024-12`);
    await person.page.getByRole('alert').getByText('No tax of this area is in force in the month').waitFor();
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
