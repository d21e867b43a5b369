import type { Page, Route } from 'playwright-core';
import { bindToPerson } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson, makeTaxArea } from '#tests/support/set-up';
import { makeSharedSite, months } from './support/books';
import type { Visit } from './support/browser';
import { signIn, startConsole, type RunningConsole } from './support/console';

const { last } = months;

// What was recorded although its answer got lost is not recorded again by whoever presses the button once more.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bookkeeper: Visit;
  let manager: Visit;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const { site } = await makeSharedSite(owner, { id: operator.siteId, code: 'QUAY', name: 'Quay Tavern', taxAreaId: (await makeTaxArea(owner)).id });
    await bindToPerson(owner, { accountId: operator.as('site-manager').id, role: 'site-manager', personId: (await makePerson(owner)).id, siteIds: [site.id] });
    bookkeeper = await running.visit({ device: 'desk' });
    await bookkeeper.page.goto(`/operators/${operator.code}/sites/${site.id}`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    manager = await running.visit({ device: 'phone' });
    await manager.page.goto(`/operators/${operator.code}/share`);
    await signIn(manager, operator.as('site-manager'));
  }, 180_000);
  afterAll(() => running?.close());

  /** The api does what is asked, and the connection breaks before the page hears of it: once. */
  async function loseAnswer(page: Page, path: string): Promise<void> {
    let isLost = false;
    await page.route(`**${path}`, async (route: Route) => {
      if (isLost || route.request().method() !== 'POST') return route.fallback();
      isLost = true;
      await route.fetch();
      await route.abort();
    });
  }
  const asOwner = async <Item>(path: string): Promise<Item[]> => ((await running.api.operator.as('owner').get(path).expect(200)).body as { items: Item[] }).items;

  it('an advance is given once, and one that was changed meanwhile is not given beside it', async () => {
    const { page } = bookkeeper;
    const dialog = page.getByRole('dialog');
    const give = async ({ amount, reason }: { amount: string; reason: string }) => {
      await page.getByRole('button', { name: 'Give an advance' }).click();
      await dialog.getByLabel('Amount in USD').fill(amount);
      await dialog.getByLabel('Given on').fill(last.day(5));
      await dialog.getByLabel('Reason').fill(reason);
      await dialog.getByRole('button', { name: 'Record the advance' }).click();
    };
    await loseAnswer(page, '/v1/advances');
    await give({ amount: '250.00', reason: 'A new bar counter.' });
    await dialog.getByText(/Send it again from here: it is recorded once at most/).waitFor();
    expect(await bookkeeper.look('lost-answer')).toEqual([]);
    await dialog.getByRole('button', { name: 'Record the advance' }).click();
    await dialog.waitFor({ state: 'detached' });
    await page.getByRole('row', { name: /A new bar counter\./ }).waitFor();
    expect(await asOwner('/v1/advances')).toHaveLength(1);

    await loseAnswer(page, '/v1/advances');
    await give({ amount: '30.00', reason: 'A stool.' });
    await dialog.getByText(/Send it again from here/).waitFor();
    await dialog.getByLabel('Amount in USD').fill('35.00');
    await dialog.getByRole('button', { name: 'Record the advance' }).click();
    await dialog.getByText(/It is recorded already, as it was sent first/).waitFor();
    await dialog.getByRole('button', { name: 'Cancel' }).click();
    await page.getByRole('row', { name: /A stool\. .*30\.00/ }).waitFor();
    // The next form is about the next advance.
    await give({ amount: '30.00', reason: 'A stool.' });
    await dialog.waitFor({ state: 'detached' });
    expect((await asOwner<{ amount: { amount: string } }>('/v1/advances')).map(({ amount }) => amount.amount).sort()).toEqual(['250.00', '30.00', '30.00']);
  });

  it('a refund slip without a number is entered once', async () => {
    const { page } = manager;
    const dialog = page.getByRole('dialog');
    await page.getByRole('button', { name: 'Enter a refund slip' }).click();
    await dialog.getByLabel('Machine').selectOption({ label: 'QUAY-1 (Pool table)' });
    await dialog.getByLabel('Day on the slip').fill(last.day(20));
    await dialog.getByLabel('Amount in USD').fill('2.50');
    await dialog.getByLabel('Why it was given back').fill('Ball stuck');
    await loseAnswer(page, '/v1/refund-claims');
    await dialog.getByRole('button', { name: 'Enter the slip' }).click();
    await dialog.getByText(/Send it again from here/).waitFor();
    await dialog.getByRole('button', { name: 'Enter the slip' }).click();
    await dialog.waitFor({ state: 'detached' });
    expect(await asOwner('/v1/refund-claims')).toHaveLength(1);
  });
});
