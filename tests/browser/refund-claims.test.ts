import { bindToPerson } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson } from '#tests/support/set-up';
import { makeAreaWithTax, makeSharedSite, months, todayAtSites, usd, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';

// A site's refund slips from the bar to the books: entered there by phone, asked for by the collector, refused by the office.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let manager: Visit;
  let quay: RunningSite;
  let today: string;
  beforeAll(async () => {
    today = todayAtSites();
    running = await startConsole();
    const { operator } = running.api;
    const office = operator.as('owner');
    quay = await makeSharedSite(office, { code: 'QUAY', name: 'Quay Tavern', taxAreaId: (await makeAreaWithTax(office)).id });
    await bindToPerson(office, { accountId: operator.as('site-manager').id, role: 'site-manager', personId: (await makePerson(office)).id, siteIds: [quay.site.id] });
    const orla = await makePerson(office, { code: 'ORLA', name: 'Orla Venn' });
    await bindToPerson(office, { accountId: operator.as('collector').id, role: 'collector', personId: orla.id });
    await office.post('/v1/rounds', { name: 'Harbour', plannedOn: today, collectorId: orla.id, siteIds: [quay.site.id] }).expect(201);
    manager = await running.visit({ device: 'phone' });
    await manager.page.goto(`/operators/${operator.code}/share`);
    await signIn(manager, operator.as('site-manager'));
  }, 180_000);
  afterAll(() => running?.close());

  const slips = () => manager.page.getByRole('region', { name: 'Refund slips', exact: true });
  async function enter({ number, amount }: { number: string; amount: string }): Promise<void> {
    const { page } = manager;
    const dialog = page.getByRole('dialog');
    await page.getByRole('button', { name: 'Enter a refund slip' }).click();
    await dialog.getByLabel('Machine').selectOption({ label: 'QUAY-1 (Pool table)' });
    await dialog.getByLabel('Day on the slip').fill(months.last.day(20));
    await dialog.getByLabel('Amount in USD').fill(amount);
    await dialog.getByLabel('Number of the slip').fill(number);
    await dialog.getByLabel('Why it was given back').fill('Ball stuck');
    await dialog.getByRole('button', { name: 'Enter the slip' }).click();
  }

  it('the site enters slips, is told of a number that was entered, and takes one back', async () => {
    const { page, look } = manager;
    const dialog = page.getByRole('dialog');
    await slips().getByText('No slip was entered.').waitFor();
    await page.getByRole('button', { name: 'Enter a refund slip' }).click();
    await dialog.getByRole('button', { name: 'Enter the slip' }).click();
    await dialog.getByRole('link', { name: 'Choose the machine.' }).waitFor();
    expect(await look('refund-claim-missing')).toEqual([]);
    await dialog.getByRole('button', { name: 'Cancel' }).click();
    await enter({ number: 'A-17', amount: '2.50' });
    await slips().getByText(/^QUAY-1, .* slip A-17$/).waitFor();
    await enter({ number: 'A-17', amount: '2.50' });
    await dialog.getByRole('link', { name: 'A slip with this number was entered for this site already.' }).waitFor();
    await dialog.getByLabel('Number of the slip').fill('A-18');
    await dialog.getByRole('button', { name: 'Enter the slip' }).click();
    await dialog.waitFor({ state: 'detached' });
    await enter({ number: 'A-19', amount: '1.00' });
    await slips().getByRole('button', { name: /Take back QUAY-1.*A-19/ }).click();
    await dialog.getByRole('button', { name: 'Take back' }).click();
    await slips().getByText('Taken back', { exact: true }).waitFor();
    expect(await look('refund-claims-own')).toEqual([]);
  });

  it('the collector ticks the slip that is given, and the office refuses the other with a reason', async () => {
    const { operator } = running.api;
    const collector = await running.visit({ device: 'phone' });
    await collector.page.goto('/');
    await signIn(collector, operator.as('collector'));
    await collector.page.getByRole('link', { name: 'Enter the visit Quay Tavern' }).click();
    await collector.page.getByRole('group', { name: 'QUAY-1' }).getByLabel('Coins', { exact: true }).fill('50');
    await collector.page.getByRole('checkbox', { name: /^QUAY-1, .*slip A-17: \$2\.50$/ }).check();
    expect(await collector.look('refund-claims-presented')).toEqual([]);
    await collector.page.getByRole('button', { name: 'Finish the visit' }).click();
    await collector.page.getByText('Quay Tavern: arrived.').waitFor();

    const office = await running.visit({ device: 'desk', dark: true });
    await office.page.goto(`/operators/${operator.code}/collections/refunds`);
    await signIn(office, operator.as('bookkeeper'));
    const rows = office.page.getByRole('row').filter({ hasText: 'A-1' });
    await rows.filter({ hasText: 'A-18' }).waitFor();
    expect(await rows.count()).toBe(1);
    await rows.getByRole('button', { name: /^Refuse/ }).click();
    await office.page.getByRole('dialog').getByLabel('Reason').fill('The machine was off that day');
    await office.page.getByRole('dialog').getByRole('button', { name: 'Refuse' }).click();
    await office.page.getByText('No slip was entered.').waitFor();
    await office.page.getByLabel('Show').focus();
    await office.page.getByLabel('Show').selectOption('All');
    await rows.filter({ hasText: 'A-17' }).getByRole('link', { name: /^Taken over at the collection of/ }).waitFor();
    // Whoever chooses by the keyboard goes on from there.
    expect(await office.page.locator('select:focus').count()).toBe(1);
    expect(await office.look('refund-claims')).toEqual([]);

    // The same paper, typed once more instead of ticked: the slip of the visit and the claim both say so.
    const counts = [{ machineTag: 'QUAY-1', coin: usd('20.00'), note: usd('0.00') }];
    const refunds = [{ machineTag: 'QUAY-1', refundedOn: months.last.day(20), amount: usd('2.50') }];
    const again = await operator.as('owner').post('/v1/collections', { siteId: quay.site.id, happenedAt: new Date().toISOString(), counts, refunds }).expect(201);
    await office.page.reload();
    await rows.filter({ hasText: 'A-17' }).getByText(/^Another slip of the same machine, day and amount was presented on .*, without a claim\. See whether it is the same paper\.$/).waitFor();
    expect(await office.look('refund-claims-alike')).toEqual([]);
    await office.page.goto(`/operators/${operator.code}/collections/${String(again.body.id)}`);
    await office.page.getByText(/^looks like the slip A-17 that was taken over on .*: see whether it is the same paper$/).waitFor();

    await manager.page.reload();
    await slips().getByText('Refused: The machine was off that day').waitFor();
    await slips().getByText(/^Taken over at the collection of/).waitFor();
    expect([manager, collector, office].flatMap(({ complaints }) => complaints)).toEqual([]);
  });

  it('says in German which field is wrong, and why', async () => {
    const { operator } = running.api;
    const office = await running.visit({ device: 'desk' });
    const { page } = office;
    const dialog = page.getByRole('dialog');
    await page.goto(`/operators/${operator.code}/collections/refunds`);
    await signIn(office, operator.as('bookkeeper'));
    await page.getByRole('button', { name: 'The bookkeeper' }).click();
    await page.getByRole('button', { name: 'Deutsch' }).click();
    await page.getByRole('button', { name: 'Erstattungsbeleg eingeben' }).click();
    await dialog.getByLabel('Standort').selectOption('Quay Tavern (QUAY)');
    await dialog.getByLabel('Gerät').selectOption('QUAY-1');
    await dialog.getByLabel('Tag auf dem Beleg').fill('2099-01-01');
    await dialog.getByLabel('Betrag in USD').fill('2,50');
    await dialog.getByLabel('Warum es erstattet wurde').fill('Münze klemmte');
    await dialog.getByRole('button', { name: 'Beleg eingeben' }).click();
    await dialog.getByRole('heading', { name: 'Eine Angabe ist zu berichtigen' }).waitFor();
    await dialog.getByRole('link', { name: 'Dieser Zeitpunkt ist noch nicht gekommen.' }).click();
    await soon(async () => expect(await page.locator(':focus').getAttribute('aria-invalid')).toBe('true'));
    expect(await page.locator(':focus').inputValue()).toBe('2099-01-01');
    await dialog.getByLabel('Tag auf dem Beleg').fill(months.last.day(20));
    await dialog.getByLabel('Nummer des Belegs').fill('A-17');
    await dialog.getByRole('button', { name: 'Beleg eingeben' }).click();
    await dialog.getByRole('link', { name: 'Ein Beleg mit dieser Nummer wurde für diesen Standort schon eingegeben.' }).click();
    await soon(async () => expect(await page.locator(':focus').inputValue()).toBe('A-17'));
    expect(await dialog.innerText()).not.toMatch(/\b(the|slip|number|already)\b/i);
    expect(office.complaints).toEqual([]);
  });
});
