import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson } from '#tests/support/set-up';
import { makeAreaWithTax, makeSharedSite, months } from './support/books';
import type { Visit } from './support/browser';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { onPaper } from './support/paper';
import { soon } from './support/soon';

// The first day of an owner with their keys: two cuts, a safe, locks at all sites, a key for each site's staff.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  let page: Page;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const office = operator.as('owner');
    const taxAreaId = (await makeAreaWithTax(office)).id;
    const quay = await makeSharedSite(office, { code: 'QUAY', name: 'Quay Tavern', taxAreaId, id: operator.siteId });
    await makeSharedSite(office, { code: 'MILL', name: 'Mill Diner', taxAreaId });
    await makePerson(office, { code: 'BO', name: 'Bo Tarn', employedBy: 'site', siteId: quay.site.id });
    await makePerson(office, { code: 'FAY', name: 'Fay Lund', employedBy: 'site', siteId: quay.site.id });
    for (const [code, name] of [['ADA', 'Ada Moss'], ['IVO', 'Ivo Reck']] as const) await makePerson(office, { code, name });
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${operator.code}/keys`);
    await signIn(owner, office);
  }, 180_000);
  afterAll(() => running?.close());

  const button = (name: string | RegExp) => page.getByRole('button', { name, exact: true });
  const dialog = (name: string | RegExp) => page.getByRole('dialog', { name });
  const view = (name: string) => page.getByRole('link', { name, exact: true }).first().click();

  it('begins with a cut, and says what a form lacks without losing what was typed', async () => {
    await view('Set up keys');
    await page.getByText('Begin here: name each key code that your locks take.').waitFor();
    expect(await owner.look('key-set-up-begin')).toEqual([]);
    await view('Key codes');
    await page.getByText('No key code is in the books yet.').waitFor();
    await button('New code').click();
    const form = dialog('A new key code');
    await form.getByLabel('Code', { exact: true }).fill('cash/7');
    await form.getByRole('button', { name: 'New code' }).click();
    const summary = form.getByRole('alert');
    await summary.getByRole('link', { name: 'Say which kind of key it is' }).click();
    await soon(async () => expect(await form.locator('input[type=radio]:focus').count()).toBe(1));
    await form.getByRole('radio', { name: /^Cash-box key/ }).check();
    await form.getByRole('button', { name: 'New code' }).click();
    await summary.getByRole('link', { name: /^Use letters, digits and hyphens only/ }).waitFor();
    expect(await owner.look('key-set-up-code')).toEqual([]);
    expect(await form.getByLabel('Code', { exact: true }).inputValue()).toBe('cash/7');
    await form.getByLabel('Code', { exact: true }).fill('cash 7');
    await form.getByRole('checkbox').check();
    await form.getByRole('button', { name: 'New code' }).click();
    await page.getByRole('heading', { name: 'Code CASH-7' }).waitFor();
    await page.getByText('Others have copies of this code that nobody can count: its locks are better changed.').waitFor();
  });

  it('sets up a safe with somebody who answers for it, who was in no books before', async () => {
    await view('Stores and custodians');
    await button('New store').click();
    const form = dialog('A new store');
    await form.getByLabel('Name').fill('Office safe');
    await form.getByRole('button', { name: 'Add somebody' }).click();
    const somebody = dialog('Add somebody to the books');
    await somebody.getByLabel('Name').fill('Kay Dorn');
    await somebody.getByLabel('Works here since').fill('2026-01-02');
    expect(await owner.look('key-set-up-person')).toEqual([]);
    await somebody.getByRole('button', { name: 'Add somebody' }).click();
    await somebody.waitFor({ state: 'detached' });
    await soon(async () => expect(await form.getByLabel('Who answers for it').locator('option:checked').textContent()).toBe('Kay Dorn (KAY-DORN)'));
    await form.getByRole('button', { name: 'New store' }).click();
    await page.getByRole('row', { name: /^Office safe OFFICE-SAFE Safe Kay Dorn since/ }).waitFor();
    expect(await owner.look('key-set-up-stores')).toEqual([]);
  });

  it('puts numbered copies into the books', async () => {
    await view('Key codes');
    await page.getByRole('link', { name: 'CASH-7' }).click();
    await button('Put copies into the books').click();
    const form = dialog('Copies of CASH-7');
    await form.getByLabel('How many').fill('8');
    await form.getByText('CASH-7-01 to CASH-7-08').waitFor();
    await form.getByRole('button', { name: 'Put copies into the books' }).click();
    await page.getByRole('row', { name: /^CASH-7-08 Office safe/ }).waitFor();
    expect(await owner.look('key-set-up-copies')).toEqual([]);
    await button('Record as destroyed CASH-7-08').click();
    await page.getByLabel('Reason').fill('Broken off in the lock');
    await button('It was destroyed').click();
    await page.getByRole('row', { name: /^CASH-7-08 Destroyed/ }).waitFor();
    await page.getByRole('img', { name: 'Picture of where the copies of CASH-7 were; the table below says the same' }).waitFor();
    await page.getByText('The same as a table').click();
    const overTime = page.getByRole('table', { name: 'Who had its copies' });
    await soon(async () => expect(await overTime.getByRole('row', { name: /^CASH-7-08 / }).count()).toBe(2));
    expect(await owner.look('key-set-up-over-time')).toEqual([]);

    await view('Key codes');
    await button('New code').click();
    const code = dialog('A new key code');
    await code.getByLabel('Code', { exact: true }).fill('DOOR-1');
    await code.getByRole('radio', { name: /^Access key/ }).check();
    await code.getByRole('button', { name: 'New code' }).click();
    await page.getByText('No copy of this code is in the books.').waitFor();
    await button('Put copies into the books').click();
    await form.waitFor({ state: 'detached' });
    await dialog('Copies of DOOR-1').getByLabel('How many').fill('2');
    await dialog('Copies of DOOR-1').getByRole('button', { name: 'Put copies into the books' }).click();
    await page.getByRole('row', { name: /^DOOR-1-02 Office safe/ }).waitFor();
  });

  it('fits a cut to every machine of all sites at once', async () => {
    await view('Locks and keys by site');
    await page.getByRole('row', { name: /^Mark Quay Tavern Quay Tavern QUAY 0 of 2 0 of 2 0$/ }).waitFor();
    await page.getByLabel('Mark all shown').check();
    await button('Fit locks').click();
    const form = dialog('Fit locks at 2 sites');
    await form.getByText('4 machines stand there, 4 without such a lock.').waitFor();
    expect(await form.getByRole('radio', { name: 'keeps it' }).isChecked()).toBe(true);
    await form.getByLabel('Code', { exact: true }).selectOption('CASH-7');
    await form.getByLabel('On the machines since').fill(months.last.day(1));
    expect(await owner.look('key-set-up-fit')).toEqual([]);
    await form.getByRole('button', { name: 'Fit' }).click();
    await dialog('4 locks recorded.').getByRole('button', { name: 'Close' }).click();
    await button('Fit locks').click();
    await form.getByLabel('What the lock opens').selectOption('Play area');
    await form.getByLabel('Code', { exact: true }).selectOption('DOOR-1');
    await form.getByRole('button', { name: 'Fit' }).click();
    await dialog('4 locks recorded.').getByRole('button', { name: 'Close' }).click();
    await page.getByRole('row', { name: /Quay Tavern QUAY 2 of 2 2 of 2 CASH-7, DOOR-1 0$/ }).waitFor();
    expect(await owner.look('key-set-up-sites')).toEqual([]);
  });

  it('hands a key to the staff of each site', async () => {
    await button('Hand out keys').click();
    await page.getByText('Nobody of this site is in the books').waitFor();
    expect(await owner.look('key-set-up-hand-out')).toEqual([]);
    await page.getByRole('listitem', { name: 'Mill Diner' }).getByRole('button', { name: 'Add somebody' }).click();
    const somebody = dialog('Add somebody to the books');
    await somebody.getByText('Somebody who works at Mill Diner').waitFor();
    await somebody.getByLabel('Name').fill('Gil Arden');
    await somebody.getByLabel('Works here since').fill('2026-01-02');
    await somebody.getByRole('button', { name: 'Add somebody' }).click();
    await page.getByText('2 sites are ready.').waitFor();
    await button('Hand out 2 keys').click();
    await page.getByText('2 keys were handed out.').waitFor();
    await button('Back to the sites').click();
    await page.getByRole('row', { name: /Mill Diner MILL 2 of 2 2 of 2 CASH-7, DOOR-1 1$/ }).waitFor();
  });

  it('goes into one site: another lock, and who may use the hook', async () => {
    await page.getByRole('link', { name: 'Quay Tavern' }).click();
    await page.getByText('Bo Tarn answers for it.').waitFor();
    await page.getByRole('row', { name: /^DOOR-1-0[12] DOOR-1 access key Hook behind the counter/ }).waitFor();
    await button(/^Let somebody use it/).click();
    const form = dialog('Who else may use Hook behind the counter?');
    await form.getByLabel('Person').selectOption('Fay Lund (FAY)');
    await form.getByRole('button', { name: 'Let somebody use it' }).click();
    await page.getByText(/^Fay Lund, since/).waitFor();
    await button('Take off cash box of QUAY-1').click();
    const off = dialog('Take the lock cash box of QUAY-1 off');
    await off.getByLabel('Reason').fill('The door was replaced');
    await off.getByRole('button', { name: 'Take off' }).click();
    await button('Fit a lock QUAY-1').click();
    await dialog('Fit a lock to QUAY-1').getByLabel('Code', { exact: true }).selectOption('CASH-7');
    await dialog('Fit a lock to QUAY-1').getByRole('button', { name: 'Fit' }).click();
    await button('Take off cash box of QUAY-1').waitFor();
    expect(await owner.look('key-set-up-site')).toEqual([]);
    const paper = await onPaper(page);
    expect(paper).toMatchObject({ frame: false, buttons: 0 });
    expect(paper.text).toMatch(/QUAY-1[^]*CASH-7/);
  });

  it('gives every collector a ring in one go', async () => {
    await view('Rings');
    await button('Rings for several people').click();
    await page.getByLabel('Ada Moss RING-ADA with CASH-7-01').waitFor();
    expect(await page.getByLabel('Kay Dorn custodian').isChecked()).toBe(false);
    expect(await owner.look('key-set-up-rings-for-people')).toEqual([]);
    await button('Give out 2 rings').click();
    await page.getByText('2 rings were given out.').waitFor();
    await page.getByLabel('Ada Moss Handed out').waitFor();
    await button('Back to the rings').click();
    await page.getByRole('row', { name: /^RING-IVO CASH-7-02/ }).waitFor();
  });

  it('hangs copies on a ring and allows an exception', async () => {
    await button('New ring').click();
    await dialog('A new ring').getByLabel('Code').fill('tour-a');
    await dialog('A new ring').getByRole('button', { name: 'New ring' }).click();
    const ring = dialog('What hangs on TOUR-A');
    await ring.getByLabel('CASH-7-03, CASH-7, Office safe').check();
    expect(await owner.look('key-set-up-ring')).toEqual([]);
    await ring.getByRole('button', { name: 'Save' }).click();
    await page.getByRole('row', { name: /^TOUR-A CASH-7-03/ }).waitFor();
    await view('Exceptions');
    await button('Allow an exception').click();
    const form = dialog('Allow an exception');
    await form.getByLabel('Site', { exact: true }).selectOption('Mill Diner (MILL)');
    await form.getByLabel('Label').fill('Own diner');
    await form.getByLabel('Reason').fill('We run this one ourselves');
    await form.getByLabel('Look at it again on').fill('2099-06-30');
    await form.getByRole('button', { name: 'Allow it' }).click();
    await page.getByRole('row', { name: /^Own diner We run this one ourselves everybody at Mill Diner/ }).waitFor();
    expect(await owner.look('key-set-up-exceptions')).toEqual([]);
    await view('Set up keys');
    await page.getByText('Each of 4 machines has its locks in the books. The staff of every site with machines have a key.').waitFor();
    await page.getByText('Others have copies of CASH-7 that nobody can count: its locks are better changed.').waitFor();
    expect(await owner.look('key-set-up')).toEqual([]);
    expect(owner.complaints).toEqual([]);
  });

  it('relaxes a rule with a reason, and sees what it let pass', async () => {
    await view('Key policy');
    await page.getByText('Nobody has relaxed anything: the strict side of each rule holds.').waitFor();
    await button('Change the policy').click();
    const form = dialog('Change the policy');
    await form.getByLabel('Hours to confirm a key').fill('two days');
    await form.getByRole('checkbox', { name: /^The business is one person/ }).check();
    await form.getByRole('button', { name: 'Put in force' }).click();
    await form.getByRole('heading', { name: '3 things need a correction' }).waitFor();
    expect(await owner.look('key-policy-change')).toEqual([]);
    await form.getByLabel('Hours to confirm a key').fill('72');
    await form.getByLabel('Look at it again by').fill(new Date(Date.now() + 90 * 86_400_000).toISOString().slice(0, 10));
    await form.getByLabel('Reason').fill('The van is met on the road');
    await form.getByRole('button', { name: 'Put in force' }).click();
    await form.getByRole('link', { name: /The bookkeeper.* can be the second person\.$/ }).waitFor();
    await form.getByRole('checkbox', { name: /^The business is one person/ }).uncheck();
    await form.getByRole('checkbox', { name: /^Cash-box keys may go from hand to hand/ }).check();
    await form.getByRole('button', { name: 'Put in force' }).click();
    await page.getByRole('row', { name: 'A cash-box key passes to another of your people from hand to hand Relaxed' }).waitFor();
    await page.getByText('Nothing was recorded under a relaxed rule.').waitFor();

    const office = running.api.operator.as('owner');
    const idOf = async (path: string, is: string): Promise<unknown> => ((await office.get(path).expect(200)).body as { items: { id: string; number?: string; code?: string }[] }).items.find(({ number, code }) => (number ?? code) === is)?.id;
    const person = async (code: string) => ({ kind: 'person', id: await idOf('/v1/people?limit=200', code) });
    const handed = { kind: 'handed-over', keyCopyIds: [await idOf('/v1/key-copies?limit=200', 'CASH-7-02')], from: await person('IVO'), to: await person('ADA'), reason: 'Met on the road' };
    await office.post('/v1/custody-events', handed).expect(201);
    await page.reload();
    await page.getByRole('row', { name: /^Hand-over CASH-7-02 not back to the custodian first .* by you$/ }).waitFor();
    await page.getByRole('listitem').filter({ hasText: 'The van is met on the road' }).getByText('A cash-box key passes to another of your people: from hand to hand').waitFor();
    expect(await owner.look('key-policy')).toEqual([]);
    expect(owner.complaints).toEqual([]);
  });

  it('fits a phone', async () => {
    const base = `/operators/${running.api.operator.code}/keys`;
    const person = await running.visit({ device: 'phone' });
    await person.page.goto(`${base}/set-up`);
    await signIn(person, running.api.operator.as('custodian'));
    await person.page.getByText('2 key codes are in the books.').waitFor();
    expect(await person.look('key-set-up')).toEqual([]);
    await person.page.goto(`${base}/sites`);
    await person.page.getByRole('link', { name: 'Quay Tavern' }).waitFor();
    await person.page.getByLabel('Mark all shown').check();
    expect(await person.look('key-set-up-sites')).toEqual([]);
    await person.page.getByRole('button', { name: 'Hand out keys' }).click();
    await person.page.getByText('No copy of DOOR-1 is left in a store.').first().waitFor();
    expect(await person.look('key-set-up-hand-out')).toEqual([]);
    await person.page.getByRole('button', { name: 'Cancel' }).click();
    await person.page.getByRole('link', { name: 'Quay Tavern' }).click();
    await person.page.getByText('Bo Tarn answers for it.').waitFor();
    expect(await person.look('key-set-up-site')).toEqual([]);
    await person.page.goto(`${base}/policy`);
    await person.page.getByRole('row', { name: /^Hand-over/ }).waitFor();
    expect(await person.page.getByRole('button', { name: 'Change the policy' }).count()).toBe(0);
    expect(await person.look('key-policy')).toEqual([]);
    expect(person.complaints).toEqual([]);
    await person.context.close();
  });
});
