import { describeWithProgram } from '#tests/support/outside-program';
import { makeAgreement, makeMachine, makeParty, makePlacement, makeSite } from '#tests/support/set-up';
import { startConsole, signIn, type RunningConsole } from './support/console';

/** The last whole month, by the clock of this machine: a browser keeps cookies by it, so the test does as well. */
const now = new Date();
const startsOn = new Date(Date.UTC(now.getUTCFullYear(), now.getUTCMonth() - 1, 1)).toISOString().slice(0, 10);
const monthName = new Intl.DateTimeFormat('en-US', { month: 'long', timeZone: 'UTC' }).format(new Date(startsOn));
const usd = (amount: string) => ({ amount, currency: 'USD' });

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let working: NodeJS.Timeout;
  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const sites = [
      { id: operator.siteId, code: 'QUAY-1', name: 'Quay Tavern', coin: '400.00' },
      { code: 'MILL-2', name: 'Mill Diner', coin: '180.50' },
    ];
    for (const { coin, ...fields } of sites) {
      const site = await makeSite(owner, fields);
      await makeAgreement(owner, { siteId: site.id, partyId: (await makeParty(owner)).id });
      const machine = await makeMachine(owner);
      await makePlacement(owner, { machineId: machine.id, siteId: site.id });
      const counts = [{ machineTag: machine['tag'], coin: usd(coin), note: usd('20.00') }];
      const made = await operator.as('collector').post('/v1/collections', { siteId: site.id, happenedAt: `${startsOn.slice(0, 8)}15T18:00:00Z`, counts }).expect(201);
      if (fields.code === 'QUAY-1') await owner.post(`/v1/collections/${made.body.id as string}/accept`).expect(200);
    }
    // The worker's part, as it would run beside the api.
    let busy = Promise.resolve(0);
    working = setInterval(() => {
      busy = busy.then(() => operator.work());
    }, 300);
  }, 60_000);
  afterAll(async () => {
    clearInterval(working);
    await running?.close();
  });

  it('a bookkeeper goes from what is missing to signed statements', async () => {
    const person = await running.visit({ device: 'desk' });
    const { page } = person;
    await page.goto(`/operators/${running.api.operator.code}/month-end/month/${startsOn}`);
    await signIn(person, running.api.operator.as('bookkeeper'));
    await page.getByRole('heading', { name: monthName }).waitFor();
    await page.getByRole('row', { name: /Mill Diner/ }).waitFor();
    expect(await person.look('month-end-missing')).toEqual([]);

    // What stands in the way of one site is put right where the list points to.
    await page.getByRole('link', { name: 'Collections' }).click();
    await page.getByRole('row', { name: /Mill Diner/ }).getByRole('button', { name: /Accept/ }).click();
    await page.getByRole('row', { name: /Mill Diner/ }).getByText('Accepted').waitFor();
    await page.goBack();

    await page.getByRole('button', { name: `Close ${monthName}` }).click();
    await page.getByRole('dialog').getByRole('button', { name: `Close ${monthName}` }).click();
    await page.getByRole('button', { name: 'Review all 2' }).waitFor();
    expect(await person.look('month-end-drafts')).toEqual([]);

    await page.getByRole('link', { name: /Quay Tavern/ }).click();
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    await page.getByRole('button', { name: /Left to share/ }).first().click();
    expect(await person.look('settlement')).toEqual([]);
    await page.goBack();

    await page.getByRole('button', { name: 'Review all 2' }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Review all 2' }).click();
    await page.getByRole('button', { name: 'Issue 2' }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Issue 2' }).click();
    const row = page.getByRole('row', { name: /Quay Tavern/ });
    const statement = row.getByRole('button', { name: /PDF/ });
    await statement.waitFor();
    const [download] = await Promise.all([page.waitForEvent('download'), statement.click()]);
    expect(download.suggestedFilename()).toMatch(/-00000[12]\.pdf$/);
    expect(await person.look('month-end-issued')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  }, 90_000);

  it('a site manager sees the share, how it came about, and the statement, and nobody else’s', async () => {
    const person = await running.visit({ device: 'phone' });
    const { page } = person;
    await page.goto(`/operators/${running.api.operator.code}`);
    await signIn(person, running.api.operator.as('site-manager'));
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    await page.getByRole('link', { name: new RegExp(monthName) }).click();
    await page.getByText('Your share of what was left is $168.00').waitFor();
    expect(await person.look('share')).toEqual([]);
    expect(await page.getByText('Mill Diner').count()).toBe(0);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  }, 60_000);
});
