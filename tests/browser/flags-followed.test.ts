import type { Page } from 'playwright-core';
import { fitBoard, meterFields } from '#tests/support/metering';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';
import type { Visit } from './support/browser';
import { months, usd } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';

const { before, last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let bar: Awaited<ReturnType<typeof makeRunningSite>>;
  let orla: Made;
  let owner: Visit;
  let page: Page;
  const path = (rest: string) => `/operators/${running.api.operator.code}/${rest}`;

  beforeAll(async () => {
    running = await startConsole();
    const { operator, anonymous } = running.api;
    const [office, collector] = [operator.as('bookkeeper'), operator.as('collector')];
    bar = await makeRunningSite(office, { site: { name: 'Quay Tavern' }, machine: { tag: 'QUAY-1' } });
    await makeSite(office, { name: 'Hafenbar', currency: 'EUR' });
    orla = await makePerson(office, { name: 'Orla Venn' });
    await office.post('/v1/rounds', { name: 'Harbour', plannedOn: last.day(3), collectorId: orla.id, siteIds: [bar.site.id] }).expect(201);
    // 300 an hour, for two weeks: more than five digits show.
    const { meterId } = await fitBoard(office, bar.machine.id, { fittedAt: `${before.day(2)}T18:00:00Z`, meters: [meterFields({ value: '40000', mostPerHour: 300 })] });
    const visit = { siteId: bar.site.id, happenedAt: `${before.day(16)}T18:00:00Z` };
    const counts = [{ machineTag: 'QUAY-1', coin: usd('80.00'), note: usd('0.00'), readings: [{ meterId, value: '00120', readAgain: true }] }];
    const { id } = (await collector.post('/v1/collections', { ...visit, counts }).expect(201)).body as Made;
    await office.post(`/v1/collections/${id}/accept`).expect(200);
    const { secret } = (await office.post('/v1/machine-tokens', { machineId: bar.machine.id }).expect(201)).body as { secret: string };
    const events = [{ kind: 'door-opened', happenedAt: `${before.day(9)}T02:13:00Z` }, { kind: 'door-closed', happenedAt: `${before.day(9)}T02:16:00Z` }];
    await anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: 'QUAY-1', events, readings: [{ meter: 'Coins', value: '119', readAt: `${before.day(16)}T17:00:00Z` }] }).expect(200);
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(path('variances/flags'));
    await signIn(owner, operator.as('owner'));
  }, 180_000);
  afterAll(() => running?.close());

  it('says where no difference is followed up by its size, and no more once a tolerance is recorded', async () => {
    const says = page.getByText(/^In EUR no difference between count and meters is followed up by its size/);
    await says.waitFor();
    // Whoever closes the month is told of it as well.
    await page.goto(path(`month-end/month/${last.startsOn}`));
    await says.waitFor();
    await page.getByRole('link', { name: 'Record one', exact: true }).click();
    await says.waitFor();
    await page.getByText(/^In dollars, until you record your own/).waitFor();
    expect(await owner.look('tolerance-missing')).toEqual([]);
    await page.getByRole('button', { name: 'Record a tolerance' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByLabel('Name').fill('Euro');
    expect(await dialog.getByLabel('Currency').inputValue()).toBe('EUR');
    await dialog.getByLabel('Amount in EUR').fill('20');
    await dialog.getByRole('button', { name: 'Record a tolerance' }).click();
    await page.getByRole('row', { name: /^Euro EUR/ }).waitFor();
    await says.waitFor({ state: 'detached' });
  });

  it('says of a box that holds a whole round of a meter more what may have happened, and leads to its readings', async () => {
    const office = running.api.operator.as('bookkeeper');
    const lock = await makeRunningSite(office, { site: { name: 'Lock Inn' }, machine: { tag: 'LOCK-1' } });
    // Three digits show 1,000 quarters, which are 250.00; at 20 an hour that is a matter of two days.
    const { meterId } = await fitBoard(office, lock.machine.id, { fittedAt: `${before.day(2)}T18:00:00Z`, meters: [meterFields({ value: '100', digits: 3, mostPerHour: 20 })] });
    const counts = [{ machineTag: 'LOCK-1', coin: usd('298.00'), note: usd('0.00'), readings: [{ meterId, value: '300' }] }];
    const { id } = (await office.post('/v1/collections', { siteId: lock.site.id, happenedAt: `${before.day(16)}T18:00:00Z`, counts }).expect(201)).body as Made;
    await office.post(`/v1/collections/${id}/accept`).expect(200);
    const { items: [flag] } = (await office.get(`/v1/variance-flags?machineId=${lock.machine.id}`).expect(200)).body as { items: Made[] };
    await page.goto(path(`variances/flags/${flag?.id ?? ''}`));
    await page.getByText(/More cash than its meters tell: about a whole round of one of them/).first().waitFor();
    await page.getByText(/^Since the reading before, one of its meters could have passed all its digits/).waitFor();
    expect(await page.getByRole('link', { name: 'Readings of LOCK-1' }).getAttribute('href')).toMatch(new RegExp(`/machines/${lock.machine.id}$`));
    expect(await owner.look('flag-of-a-round')).toEqual([]);
  });

  it('shows on a flag what the machine reported meanwhile, and leads to the collection', async () => {
    await page.goto(path('variances/flags'));
    await page.getByRole('link', { name: 'QUAY-1' }).click();
    await page.getByText('a meter went back: past zero, set back or read wrong, nobody said which yet').first().waitFor();
    await page.getByRole('row', { name: /^Door open .* 3 minutes$/ }).waitFor();
    await page.getByText(/^By the clock of the machine, which may be wrong/).waitFor();
    expect(await owner.look('flag-with-reports')).toEqual([]);
    await page.getByRole('link', { name: 'The collection', exact: true }).click();
    await page.waitForURL(/\/collections\/[0-9a-f-]{36}$/);
    await page.getByRole('heading', { name: /Quay Tavern/ }).first().waitFor();
  });

  it('shows on the page of the machine what it reported, and asks why a meter went down', async () => {
    await page.goto(path(`machines/${bar.machine.id}`));
    await page.getByRole('row', { name: /Door opened$/ }).waitFor();
    await page.getByRole('row', { name: /^Coins 119 / }).waitFor();
    await page.getByText(/^it went down, and at its pace could have run through all its digits: past zero, set back, or read wrong/).waitFor();
  });

  it('says as a board is fitted for how many days its digits tell a rollover from a reset', async () => {
    await page.goto(path(`machines/${bar.machine.id}`));
    await page.getByRole('button', { name: /^Fit another board/ }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByLabel('Digits').fill('5');
    await dialog.getByLabel('Most units in an hour').fill('300');
    await dialog.getByText(/^At this pace it can run through all its digits in 13 days\./).waitFor();
    await dialog.getByLabel('Digits').fill('6');
    await dialog.getByText(/^At this pace it can run through/).waitFor({ state: 'detached' });
    await dialog.getByRole('button', { name: 'Cancel' }).click();
  });

  it('lists stops that nobody visited, and plans them again in their order', async () => {
    await page.goto(path('rounds'));
    const missed = page.getByRole('region', { name: 'Stops that nobody visited' });
    await missed.getByText('Quay Tavern').waitFor();
    await missed.getByText('not visited').waitFor();
    expect(await owner.look('rounds-missed')).toEqual([]);
    await missed.getByRole('button', { name: /^Plan these stops again Harbour/ }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'Take Quay Tavern out' }).waitFor();
    expect(await dialog.getByLabel('Name').inputValue()).toBe('Harbour');
    await dialog.getByRole('button', { name: 'Save the round' }).click();
    await missed.getByText(/^, planned again for /).waitFor();
    await missed.getByRole('button', { name: /^Plan these stops again Harbour/ }).waitFor({ state: 'detached' });
    await page.getByText('Earlier rounds').click();
    await page.getByText('Orla Venn. 0 of 1 stop visited.').waitFor();
    await page.getByRole('button', { name: /^Plan again from this round Harbour/ }).first().waitFor();
    expect(owner.complaints).toEqual([]);
  });
});
