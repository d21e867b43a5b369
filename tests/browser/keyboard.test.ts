import type { OpenItem } from '#contracts/open-item';
import { TEST_PASSWORD } from '#tests/support/api';
import { bindToPerson, heldBy, inStore, keyBooks } from '#tests/support/keys';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson } from '#tests/support/set-up';
import { accept, collect, issueMonth, makeAreaWithTax, makeSharedSite, months, startWorking, todayAtSites, type RunningSite } from './support/books';
import type { Device, Visit } from './support/browser';
import { startConsole, type RunningConsole } from './support/console';
import { keyboardOf } from './support/keyboard';

const { last, before } = months;
let today: string;

// Each of the four from signing in to the end of what they came for, with keys alone. `keyboardOf` looks after the focus at every step.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let stopWorking: () => Promise<void>;

  beforeAll(async () => {
    today = todayAtSites();
    running = await startConsole();
    const { operator } = running.api;
    const owner = operator.as('owner');
    const taxAreaId = (await makeAreaWithTax(owner)).id;
    const sites: RunningSite[] = [];
    for (const [code, name] of [['QUAY', 'Quay Tavern'], ['MILL', 'Mill Diner'], ['PIER', 'Pier Café']] as const) sites.push(await makeSharedSite(owner, { code, name, taxAreaId, ...(code === 'QUAY' ? { id: operator.siteId } : {}) }));
    const [quay, mill, pier] = sites as [RunningSite, RunningSite, RunningSite];
    await accept(owner, await collect(owner, quay, { on: before.day(20), coin: '400.00' }));
    await issueMonth(operator, before);
    await accept(owner, await collect(owner, quay, { on: last.day(12), coin: '520.00' }));
    await collect(operator.as('collector'), mill, { on: last.day(13), coin: '380.00' });
    const orla = await makePerson(owner, { code: 'ORLA', name: 'Orla Venn' });
    await bindToPerson(owner, { accountId: operator.as('collector').id, role: 'collector', personId: orla.id });
    await owner.post('/v1/rounds', { name: 'Harbour', plannedOn: today, collectorId: orla.id, siteIds: [pier.site.id] }).expect(201);
    const keys = keyBooks(operator);
    const [cut] = [await keys.cut({ class: 'cash-box', code: 'CASH-7' }), await keys.cut({ class: 'cash-box', code: 'CASH-8' })];
    for (const { id } of sites.flatMap(({ machines }) => machines)) await keys.lock({ machineId: id, cut, opens: 'cash-box', fittedAt: `${before.day(1)}T08:00:00.000Z` });
    const safe = await keys.store('SAFE');
    const copy = await keys.copy({ cut, storeId: safe, madeAt: `${before.day(1)}T08:00:00.000Z`, number: 'K-1' });
    await keys.happen(copy, { says: 'issued', at: `${before.day(3)}T08:00:00.000Z`, from: inStore(safe), to: heldBy(orla.id) });
    stopWorking = startWorking(operator);
  }, 180_000);
  afterAll(async () => {
    await stopWorking?.();
    await running?.close();
  });

  /** Opens the console as somebody does who has typed its address, and signs in. */
  async function come(role: 'owner' | 'bookkeeper' | 'collector' | 'site-manager', device: Device): Promise<Visit & { readonly keys: ReturnType<typeof keyboardOf> }> {
    const person = await running.visit({ device });
    const { page } = person;
    await page.goto('/');
    const keys = keyboardOf(page);
    await keys.type(page.getByLabel('E-mail address'), running.api.operator.as(role).email);
    await keys.type(page.getByLabel('Password'), TEST_PASSWORD);
    await page.keyboard.press('Enter');
    return { ...person, keys };
  }

  async function leave({ complaints, context }: Visit): Promise<void> {
    expect(complaints).toEqual([]);
    await context.close();
  }

  it('the bookkeeper accepts what waits, closes the month, reviews, issues, and records a payment', async () => {
    const bookkeeper = await come('bookkeeper', 'desk');
    const { page, keys } = bookkeeper;
    const button = (name: string | RegExp) => page.getByRole('button', { name, exact: true });
    /** Presses a button that asks, is led into the question, says yes, and stands somewhere again, though the button has gone. */
    const doIt = async (name: string): Promise<void> => {
      await keys.press(button(name));
      await keys.press(page.getByRole('dialog').getByRole('button', { name, exact: true }));
      await page.getByRole('dialog').waitFor({ state: 'detached' });
      await button(name).waitFor({ state: 'detached' });
      await keys.isAt();
    };
    await page.getByRole('heading', { name: last.title }).waitFor();
    await keys.press(page.getByRole('link', { name: '1 not accepted' }));
    await keys.isAt(/^Collections$/);
    await keys.press(page.getByRole('row', { name: /Mill Diner/ }).getByRole('button', { name: /Accept/ }));
    await page.getByText('There is no collection here.').waitFor();
    await keys.isAt(/^Collections$/);
    await keys.press(page.getByRole('link', { name: 'Month end' }));
    await page.getByRole('heading', { name: last.title }).waitFor();

    // Whoever thinks better of it is back where they were.
    await keys.press(button(`Close ${last.name}`));
    await page.getByRole('dialog').getByText('2 sites are settled from the counts that have been accepted').waitFor();
    await keys.press(page.getByRole('dialog').getByRole('button', { name: 'Cancel' }));
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    await keys.isAt(new RegExp(`^Close ${last.name}$`));
    await doIt(`Close ${last.name}`);

    // Whoever goes on before the answer has come stays where they went. This one says that it is done, though nothing is.
    const mill = page.getByRole('row', { name: /Mill Diner/ });
    // Until it is a draft its name leads to the site.
    await mill.getByRole('button', { name: /^Mark reviewed/ }).waitFor();
    await keys.press(mill.getByRole('link', { name: 'Mill Diner' }));
    await page.getByText('1 of 2 drafts').waitFor();
    await page.getByLabel(/^Review by keys: /).check();
    let answer = (): void => undefined;
    const meanwhile = new Promise<void>((resolve) => (answer = resolve));
    await page.route(/\/review$/, (route) => void meanwhile.then(() => route.fulfill({ json: {} })));
    await page.keyboard.press('a');
    await page.getByRole('button', { name: 'One moment…' }).waitFor();
    await page.keyboard.press('n');
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    await page.keyboard.press('p');
    await page.getByRole('heading', { name: 'Mill Diner' }).waitFor();
    // After it the drafts are asked for anew.
    const drafts = page.waitForResponse(/\/v1\/settlements\?/);
    answer();
    await (await drafts).finished();
    await page.unroute(/\/review$/);
    expect(await page.getByRole('heading', { level: 1 }).innerText()).toBe('Mill Diner');
    // What is done in the list is so where it was looked at a moment ago.
    await page.getByLabel(/^Review by keys: /).uncheck();
    await keys.press(page.getByRole('link', { name: 'Month end' }));
    await keys.press(mill.getByRole('button', { name: /^Mark reviewed/ }));
    await mill.getByText('Reviewed', { exact: true }).filter({ visible: true }).waitFor();
    await keys.press(mill.getByRole('link', { name: 'Mill Diner' }));
    await page.getByText('Reviewed by you').waitFor();
    await keys.press(page.getByRole('link', { name: 'Month end' }));
    await page.getByRole('heading', { name: last.title }).waitFor();

    await doIt('Mark the draft reviewed');
    await doIt('Issue 2');
    await keys.press(page.getByRole('link', { name: 'Payments', exact: true }));
    await keys.press(page.getByRole('link', { name: 'By age' }));
    await keys.press(page.getByRole('region', { name: 'Owed by the operator, in USD' }).getByRole('link', { name: 'Mill Diner' }));
    await keys.isAt(/^Account of Mill Diner$/);
    await keys.press(page.getByRole('button', { name: 'Record a payment' }));
    const { items } = (await running.api.operator.as('bookkeeper').get('/v1/open-items').expect(200)).body as { items: OpenItem[] };
    await keys.type(page.getByLabel('Amount in USD'), items.find(({ siteCode }) => siteCode === 'MILL')?.open.amount ?? '');
    // As the field for a day takes it where English of America is spoken.
    await keys.type(page.getByLabel('Paid on'), `${today.slice(5, 7)}${today.slice(8)}${today.slice(0, 4)}`);
    await keys.press(page.getByRole('button', { name: 'Look at what will be booked' }));
    await keys.press(page.getByRole('button', { name: 'Book the payment' }));
    await page.getByRole('row', { name: /The operator paid Mill Diner Hospitality .* matched/ }).waitFor();
    await keys.isAt();
    await leave(bookkeeper);
  }, 300_000);

  it('the site manager sees how the share came about, and asks about it', async () => {
    const manager = await come('site-manager', 'phone');
    const { page, keys } = manager;
    await page.getByText(/^Your share for/).waitFor();
    await keys.press(page.getByRole('link', { name: before.title }));
    await page.getByText('The machines took').waitFor();
    await keys.isAt();
    await keys.press(page.getByRole('button', { name: 'Ask about it' }));
    await keys.type(page.getByRole('dialog').getByLabel('Your question'), 'Was the jukebox counted?');
    await keys.press(page.getByRole('dialog').getByRole('button', { name: 'Ask about it' }));
    await page.getByText('Your question waits for an answer').waitFor();
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    await keys.isAt();
    await leave(manager);
  }, 180_000);

  it('the owner reports a key missing, looks through the locks that it opens, and records their change by site', async () => {
    const owner = await come('owner', 'desk');
    const { page, keys } = owner;
    await keys.press(page.getByRole('navigation', { name: 'Main' }).getByRole('link', { name: 'Keys' }));
    await keys.isAt(/^Keys$/);
    await keys.press(page.getByRole('row', { name: /^K-1/ }).getByRole('link', { name: 'K-1' }));
    await keys.press(page.getByRole('button', { name: 'Record what happened K-1' }));
    await keys.type(page.getByLabel('What happened', { exact: true }), 'Report');
    await page.getByText('A case opens at once.').waitFor();
    await keys.type(page.getByLabel('Reason'), 'Not in the van any more');
    await page.keyboard.press('Enter');
    await keys.press(page.getByRole('link', { name: 'See the case' }));
    await keys.isAt(/^Lost key K-1$/);
    await keys.press(page.getByRole('button', { name: 'Show all 6 locks' }));
    // The first of those that came.
    await keys.isAt(new RegExp(`^${(await page.getByRole('region', { name: 'Locks to change' }).getByRole('heading', { level: 3 }).nth(5).innerText()).replaceAll(/[()]/g, '.')}$`));
    const secured = page.getByRole('region', { name: 'Locks to change' }).getByRole('button', { name: /^Box emptied/ });
    await keys.press(secured.last());
    await keys.press(page.getByRole('button', { name: 'Record the emptied box' }));
    await page.getByText('0 of 6 locks changed, 1 secured meanwhile.').waitFor();
    await keys.isAt();
    const bySite = page.getByRole('link', { name: 'Many were changed? Record them by site, in one go' });
    // By site as well a new cut is named first.
    expect(await bySite.count()).toBe(0);
    await keys.type(page.getByLabel('New key code', { exact: true }), 'CASH-8');
    await keys.press(page.getByRole('button', { name: 'Save the new code' }));
    await page.getByText('CASH-8 takes its place.').waitFor();
    const lost = new URL(page.url()).pathname;
    await keys.press(bySite);
    await keys.isAt(/^Locks and keys by site$/);
    await keys.press(page.getByLabel('Mark all shown'), 'Space');
    await keys.press(page.getByRole('button', { name: 'Fit locks' }));
    const form = page.getByRole('dialog', { name: 'Fit locks at 3 sites' });
    await keys.type(form.getByLabel('Code', { exact: true }), 'CASH-8');
    await keys.to(form.getByRole('radio', { name: 'keeps it' }));
    await page.keyboard.press('ArrowDown');
    await keys.type(form.getByLabel('Reason'), 'The old key is lost');
    await page.keyboard.press('Enter');
    await keys.press(page.getByRole('dialog', { name: /^6 locks/ }).getByRole('button', { name: 'Close' }));
    await page.goto(lost);
    await page.getByText('6 of 6 locks changed.').waitFor();
    await leave(owner);
  }, 180_000);

  it('the collector enters a visit, with a slip too many', async () => {
    const collector = await come('collector', 'phone');
    const { page, keys } = collector;
    const slip = (number: number) => page.getByRole('group', { name: `Slip ${number}` });
    await keys.press(page.getByRole('link', { name: 'Enter the visit Pier Café' }));
    await keys.isAt(/Pier Café/);
    await keys.type(page.getByRole('group', { name: 'PIER-1' }).getByLabel('Coins', { exact: true }), '42.50');
    const add = page.getByRole('button', { name: 'Add a slip' });
    await keys.press(add);
    await page.keyboard.press('Enter');
    await slip(2).waitFor();
    // What stood behind it has its place: here the button that adds another.
    await keys.press(slip(2).getByRole('button', { name: 'Take away Slip 2' }));
    await keys.isAt(/^Add a slip$/);
    await page.keyboard.press('Enter');
    await keys.type(slip(2).getByLabel('Amount'), '3');
    await keys.press(slip(1).getByRole('button', { name: 'Take away Slip 1' }));
    await slip(2).waitFor({ state: 'detached' });
    expect(await slip(1).getByLabel('Amount').inputValue()).toBe('3');
    expect(await slip(1).getByLabel('Machine').evaluate((field) => field === field.ownerDocument.activeElement)).toBe(true);
    await keys.press(page.getByRole('button', { name: 'Finish the visit' }));
    await page.getByText('Pier Café: arrived.').waitFor();
    await keys.isAt(/^Today$/);
    await leave(collector);
  }, 180_000);
});
