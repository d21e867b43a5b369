import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { makeTaxArea, type Made } from '#tests/support/set-up';
import { accept, collect, issueMonth, makeSharedSite, months, usd, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';

const { before, last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  let page: Page;
  let quay: RunningSite;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    quay = await makeSharedSite(owner, { id: operator.siteId, code: 'QUAY', name: 'Quay Tavern', taxAreaId: (await makeTaxArea(owner)).id });
    for (const [month, coin] of [[before, '520.00'], [last, '480.00']] as const) {
      await accept(owner, await collect(owner, quay, { on: month.day(12), coin }));
      await issueMonth(operator, month);
    }
    const { items } = (await owner.get(`/v1/agreements?siteId=${quay.site.id}`).expect(200)).body as { items: Made[] };
    await owner.post('/v1/payments', { agreementId: items[0]?.id, amount: usd('100.00'), method: 'bank', reference: 'T-77', paidOn: last.day(20) }).expect(201);
    bookkeeper = await running.visit({ device: 'desk' });
    page = bookkeeper.page;
    await page.goto(`/operators/${operator.code}/sites/${quay.site.id}`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
  }, 90_000);
  afterAll(() => running?.close());

  it('is reached from the site, and lists every entry with the balance after it', async () => {
    await page.getByRole('link', { name: 'Statement of account' }).click();
    await page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
    await page.getByText(/^The operator owes Quay Tavern Hospitality \$/).waitFor();
    await page.getByRole('row', { name: /Settlement .*-000001/ }).waitFor();
    await page.getByRole('row', { name: /Payment T-77 .*100\.00/ }).waitFor();
    expect(await page.getByRole('row', { name: /Cash handed over at a collection/ }).count()).toBe(2);
    await page.getByRole('table', { name: /^How old the open items are/ }).waitFor();
    expect(await bookkeeper.look('site-account')).toEqual([]);
  });

  it('is of the day that is chosen, which stands in the address', async () => {
    await page.getByLabel('At the end of').fill(before.day(20));
    await page.getByText(/^Quay Tavern Hospitality owes the operator \$10\.00/).waitFor();
    await page.getByText('No item is open at this day.').waitFor();
    expect(page.url()).toContain(`on=${before.day(20)}`);
    expect(await bookkeeper.look('site-account-earlier')).toEqual([]);
  });

  it('is downloaded as CSV', async () => {
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(download.suggestedFilename()).toBe(`account-QUAY-${before.day(20)}.csv`);
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/^level,site,[^]*\r\nclosing,QUAY,[^]*,-10\.00\r\n/);
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('shows a site manager on a phone their own account, without the office’s reasons', async () => {
    const person = await running.visit({ device: 'phone' });
    await person.page.goto(`/operators/${running.api.operator.code}/share`);
    await signIn(person, running.api.operator.as('site-manager'));
    await person.page.getByRole('link', { name: 'Statement of account' }).click();
    await person.page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
    await person.page.getByRole('row', { name: /Payment T-77/ }).waitFor();
    expect(await person.look('site-account')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('lets the owner close months of the journal with a reason and reopen them; the bookkeeper reads it', async () => {
    const owner = await running.visit({ device: 'desk' });
    await owner.page.goto(`/operators/${running.api.operator.code}/month-end/month/${last.startsOn}`);
    await signIn(owner, running.api.operator.as('owner'));
    await owner.page.getByText('All months of the journal are open.').waitFor();
    await owner.page.getByRole('button', { name: 'Close months of the journal' }).click();
    const dialog = owner.page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'Close months of the journal' }).click();
    await dialog.getByRole('link', { name: 'Say why, in a few words.' }).waitFor();
    expect(await owner.look('journal-closing')).toEqual([]);
    await dialog.getByLabel('Reason').fill('Given to the auditor.');
    await dialog.getByRole('button', { name: 'Close months of the journal' }).click();
    await owner.page.getByText(/^The journal is closed through /).waitFor();
    await owner.page.locator('summary', { hasText: 'Closings and reopenings' }).click();
    await owner.page.getByRole('row', { name: /Given to the auditor\./ }).waitFor();
    expect(await owner.look('journal-closed')).toEqual([]);

    await page.goto(`/operators/${running.api.operator.code}/month-end/month/${last.startsOn}`);
    await page.getByText(/^The journal is closed through /).waitFor();
    expect(await page.getByRole('button', { name: /months of the journal/ }).count()).toBe(0);

    await owner.page.getByRole('button', { name: 'Reopen months of the journal' }).click();
    await dialog.getByLabel('Reason').fill('A payment was missing.');
    await dialog.getByRole('button', { name: 'Reopen months of the journal' }).click();
    await owner.page.getByRole('row', { name: /A payment was missing\./ }).waitFor();
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  });
});
