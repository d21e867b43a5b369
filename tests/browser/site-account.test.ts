import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import type { SiteView } from '#contracts/site-view';
import { describeWithProgram } from '#tests/support/outside-program';
import { makeTaxArea, type Made } from '#tests/support/set-up';
import { accept, collect, issueMonth, makeSharedSite, months, usd, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { signIn, speak, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { before, last } = months;

/** As after years: more statements than come with the front page of a site, and more visits than it shows; a way leads to all of them. */
async function showsAllOfYears(page: Page): Promise<void> {
  const copies = <Item extends object>(item: Item | undefined, count: number) => Array.from({ length: count }, (_, index) => ({ ...item, id: crypto.randomUUID(), number: `N-${index + 1}` }));
  let older: unknown[] = [];
  await page.route('**/v1/site-view', async (route) => {
    const response = await route.fetch();
    const { sites } = (await response.json()) as SiteView;
    await route.fulfill({ response, json: { sites: sites.map((site) => ({ ...site, settlements: copies(site.settlements[0], 24) })) } });
  });
  await page.route('**/v1/settlements?*', async (route) => {
    if (new URL(route.request().url()).searchParams.has('cursor')) return route.fulfill({ json: { items: older, next: null } });
    const response = await route.fetch();
    older = copies(((await response.json()) as { items: object[] }).items[0], 1).map((each) => ({ ...each, number: 'OLD-1' }));
    return route.fulfill({ response, json: { items: [], next: 'older' } });
  });
  await page.route('**/v1/collections?*', async (route) => {
    const response = await route.fetch();
    await route.fulfill({ response, json: { items: copies(((await response.json()) as { items: object[] }).items[0], 7), next: null } });
  });
  await page.reload();
  const [statements, visits] = [page.getByRole('region', { name: 'Statements' }), page.getByRole('region', { name: 'Last visits' })];
  await statements.getByText(/N-6$/).waitFor();
  await statements.getByRole('button', { name: 'Show all statements' }).click();
  await statements.getByText(/N-24$/).waitFor();
  expect(await statements.getByRole('listitem').nth(6).evaluate((entry) => entry === entry.ownerDocument.activeElement)).toBe(true);
  await statements.getByRole('button', { name: 'Show more', exact: true }).click();
  await statements.getByText(/OLD-1$/).waitFor();
  await soon(async () => expect(await visits.getByRole('listitem').count()).toBe(5));
  await visits.getByRole('button', { name: 'Show all visits' }).click();
  await soon(async () => expect(await visits.getByRole('listitem').count()).toBe(7));
  await page.unrouteAll({ behavior: 'wait' });
}

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
  }, 180_000);
  afterAll(() => running?.close());

  it('is reached from the site, and lists every entry with the balance after it', async () => {
    await page.getByRole('link', { name: 'Statement of account' }).click();
    await page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
    await page.getByText(/^The operator owes Quay Tavern Hospitality \$/).waitFor();
    await page.getByRole('row', { name: /Settlement .*-000001/ }).waitFor();
    await page.getByRole('row', { name: /Payment T-77 .*100\.00/ }).waitFor();
    await soon(async () => expect(await page.getByRole('row', { name: /Cash handed over at a collection/ }).count()).toBe(2));
    await page.getByRole('table', { name: /^How old the open items are/ }).waitFor();
    expect(await bookkeeper.look('site-account')).toEqual([]);
  });

  it('is of the day that is chosen, which stands in the address', async () => {
    await page.getByLabel('At the end of').fill(before.day(20));
    await page.getByText(/^Quay Tavern Hospitality owes the operator \$10\.00/).waitFor();
    await page.getByText('No item is open at this day.').waitFor();
    // Whoever types a day goes through others on the way: their answers must not take the field away.
    expect(await page.locator('input[type="date"]:focus').count()).toBe(1);
    expect(page.url()).toContain(`on=${before.day(20)}`);
    expect(await bookkeeper.look('site-account-earlier')).toEqual([]);
  });

  it('is downloaded as CSV', async () => {
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(download.suggestedFilename()).toBe(`account-QUAY-${before.day(20)}.csv`);
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/^level,site,[^]*\r\nclosing,QUAY,[^]*,-10\.00\r\n/);
    expect(bookkeeper.complaints).toEqual([]);
  });

  it('is also reached by the search, which the keyboard opens and going back leaves as it was', async () => {
    await page.keyboard.press('Control+k');
    await page.getByLabel('What are you looking for?').fill('zzz');
    await page.getByText('Nothing that you may see is called “zzz”.').waitFor();
    await page.keyboard.press('ControlOrMeta+a');
    await page.keyboard.type('QUAY');
    await page.getByRole('region', { name: 'Sites' }).getByRole('link', { name: 'QUAY Quay Tavern', exact: true }).waitFor();
    expect(await bookkeeper.look('search')).toEqual([]);
    await page.getByRole('searchbox').fill('000001');
    await page.waitForURL(/text=000001/);
    await page.getByRole('region', { name: 'Statements' }).getByRole('link').first().click();
    await page.getByRole('heading', { name: /Quay Tavern/ }).waitFor();
    await page.goBack();
    await page.getByRole('region', { name: 'Statements' }).waitFor();
    expect(await page.getByRole('searchbox').inputValue()).toBe('000001');
  });

  it('shows a site manager on a phone their own account, without the office’s reasons', async () => {
    const person = await running.visit({ device: 'phone' });
    await person.page.goto(`/operators/${running.api.operator.code}/share`);
    await signIn(person, running.api.operator.as('site-manager'));
    await person.page.getByRole('heading', { name: 'Last visits' }).waitFor();
    for (const [language, title] of [['de', 'Letzte Besuche'], ['es', 'Últimas visitas'], ['en', 'Last visits']] as const) {
      await speak(person.page, language);
      await person.page.getByRole('heading', { name: title }).waitFor();
      expect(await person.look(`share-${language}`)).toEqual([]);
    }
    await showsAllOfYears(person.page);
    await person.page.getByRole('link', { name: 'Statement of account' }).click();
    await person.page.getByRole('heading', { name: 'Account of Quay Tavern' }).waitFor();
    await person.page.getByRole('row', { name: /Payment T-77/ }).waitFor();
    // Everything that is theirs is on their own page.
    expect(await person.page.getByRole('link', { name: 'Search' }).count()).toBe(0);
    expect(await person.look('site-account')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });

  it('lets the owner try other terms on what was settled, alone and for all sites', async () => {
    const owner = await running.visit({ device: 'desk' });
    const { page: own } = owner;
    await own.goto(`/operators/${running.api.operator.code}/sites/${quay.site.id}`);
    await signIn(owner, running.api.operator.as('owner'));
    await own.getByRole('link', { name: 'Try other terms' }).click();
    await own.getByText(/takes the first 75\.00\sUSD a week\.$/).waitFor();
    await own.getByRole('button', { name: 'Compare' }).click();
    await own.getByRole('link', { name: 'Choose at least one part of the terms that would be different.' }).waitFor();
    await own.getByLabel('How the rest is shared').check();
    await own.getByLabel('Quay Tavern Hospitality, percent').fill('60');
    await own.getByRole('button', { name: 'Compare' }).click();
    await own.getByRole('link', { name: 'The shares have to be 100 in sum.' }).click();
    await own.keyboard.press('ControlOrMeta+a');
    await own.keyboard.type('40');
    await own.getByRole('group', { name: 'It would read' }).getByText(/Quay Tavern Hospitality 60%\.$/).waitFor();
    expect(await owner.look('what-if-form')).toEqual([]);
    await own.getByRole('button', { name: 'Compare' }).click();
    await own.getByText(/^Quay Tavern Hospitality would have had \$\d+\.\d\d more\.$/).waitFor();
    await soon(async () => expect(await own.getByRole('table', { name: /^Difference by period/ }).getByRole('row').count()).toBe(4));
    await soon(async () => expect(await own.getByRole('img').count()).toBe(2));
    expect(await owner.look('what-if-result')).toEqual([]);

    const phone = await running.visit({ device: 'phone' });
    await phone.page.goto(own.url());
    await signIn(phone, running.api.operator.as('bookkeeper'));
    await phone.page.getByText(/^Quay Tavern Hospitality would have had \$\d+\.\d\d more\.$/).waitFor();
    await phone.page.getByLabel('Site', { exact: true }).selectOption({ label: 'All sites' });
    await phone.page.getByLabel('Who bears stolen cash').check();
    await phone.page.getByRole('button', { name: 'Compare' }).click();
    await phone.page.getByRole('table', { name: /^By site/ }).waitFor();
    expect(await phone.look('what-if-result')).toEqual([]);
    await phone.page.goBack();
    await phone.page.getByRole('table', { name: /^By site/ }).waitFor({ state: 'detached' });
    expect([...owner.complaints, ...phone.complaints]).toEqual([]);
    await phone.context.close();
    await owner.context.close();
  });

  it('shows the books behind it: balances with what moved them, entries, and files for other programs', async () => {
    await page.goto(`/operators/${running.api.operator.code}/month-end/month/${last.startsOn}`);
    await page.getByRole('link', { name: 'Trial balance and entries' }).click();
    await page.getByText(/^Debit and credit balances come to \$\d/).waitFor();
    await page.getByRole('button', { name: /^Show \d+ accounts?\s*: Payable/ }).click();
    await page.getByRole('row', { name: /, P-\d+ / }).first().waitFor();
    await page.getByRole('rowgroup').filter({ hasText: 'Payment' }).filter({ hasText: '100.00' }).first().waitFor();
    expect(await bookkeeper.look('journal')).toEqual([]);
    for (const [name, ending] of [['Download as CSV', /\.csv$/], ['Download as plain text', /^journal-/]] as const) {
      const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name }).click()]);
      expect(download.suggestedFilename()).toMatch(ending);
    }
    await page.getByLabel('Until the end of').fill(before.day(1));
    await page.getByText('The last day lies before the first.').waitFor();
    await page.setViewportSize({ width: 390, height: 844 });
    await page.getByLabel('From').fill(before.day(1));
    await page.getByText('Nothing is booked in these days.').waitFor();
    await page.getByLabel('Until the end of').fill(last.day(28));
    await page.getByText(/^Debit and credit balances come to \$\d/).waitFor();
    // What an account comes to is seen without scrolling.
    expect(await page.getByRole('group', { name: /^Trial balance/ }).evaluate((box) => box.scrollWidth - box.clientWidth)).toBe(0);
    expect(await bookkeeper.look('journal-narrow')).toEqual([]);
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
    const month = await dialog.getByLabel('Close through the end of').inputValue();
    await dialog.getByLabel('Close through the end of').fill('');
    await dialog.getByRole('button', { name: 'Close months of the journal' }).click();
    await dialog.getByRole('link', { name: 'Enter the month as year and number, such as 2026-10.' }).click();
    await soon(async () => expect(await dialog.getByLabel('Close through the end of').evaluate((field) => field === field.ownerDocument.activeElement)).toBe(true));
    await dialog.getByLabel('Close through the end of').fill(month);
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
