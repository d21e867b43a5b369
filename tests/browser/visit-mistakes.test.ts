import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { bindToPerson } from '#tests/support/keys';
import { makePerson, makeRunningSite, type Made } from '#tests/support/set-up';
import { months, todayAtSites } from './support/books';
import { signIn, speak, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const hasFocus = (page: Page, label: string) => page.getByLabel(label, { exact: true }).evaluate((field) => field === field.ownerDocument.activeElement);

// A visit that was entered by mistake, and one in which something cannot be.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let orla: Made;

  beforeAll(async () => {
    running = await startConsole();
    orla = await makePerson(running.api.operator.as('owner'), { code: 'ORLA', name: 'Orla Venn' });
  }, 180_000);
  afterAll(() => running?.close());

  it('a visit that was kept aside is withdrawn on the phone by who made it, with a reason that the office reads', async () => {
    const { operator } = running.api;
    const site = await makeRunningSite(operator.as('owner'), { site: { name: 'Weir Inn' } });
    await bindToPerson(operator.as('owner'), { accountId: operator.as('collector').id, role: 'collector', personId: orla.id });
    const device = (await operator.as('collector').post('/v1/devices', { name: 'Phone of Orla' }).expect(201)).body as { id: string; secret: string };
    // Nothing was counted and nothing bagged.
    const visit = { siteId: site.site.id, happenedAt: `${months.last.day(20)}T16:00:00Z` };
    const id = crypto.randomUUID();
    await operator.as('collector').post('/v1/visits', { id, deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit }).expect(201);
    await operator.as('owner').post('/v1/rounds', { name: 'Weir', plannedOn: todayAtSites(), collectorId: orla.id, siteIds: [site.site.id] }).expect(201);
    const collector = await running.visit({ device: 'phone' });
    const { page } = collector;
    await page.goto('/');
    await signIn(collector, operator.as('collector'));
    const kept = page.getByRole('region', { name: 'With the office' });
    await kept.getByRole('heading', { name: 'Weir Inn' }).waitFor();
    expect(await collector.look('today-with-office')).toEqual([]);
    await kept.getByRole('button', { name: /^Withdraw Weir Inn/ }).click();
    const asked = page.getByRole('dialog');
    await asked.getByText(/^It will not be booked\./).waitFor();
    await asked.getByRole('button', { name: 'Withdraw', exact: true }).click();
    await asked.getByText('Enter a reason').first().waitFor();
    await asked.getByLabel('Reason').fill('Entered at the wrong site.');
    expect(await collector.look('visit-withdraw')).toEqual([]);
    // What the api alone refuses of the reason is told by the field, too.
    const refusal = { type: '/problems#invalid-command', code: 'invalid-command', title: 'x', advice: 'x', status: 422, requestId: 'r', errors: [{ pointer: '#/reason', code: 'too-long', message: 'Say it in fewer words.' }] };
    await page.route(`**/v1/visits/${id}/*`, (route) => route.fulfill({ status: 422, contentType: 'application/problem+json', body: JSON.stringify(refusal) }), { times: 1 });
    await asked.getByRole('button', { name: 'Withdraw', exact: true }).click();
    await asked.getByRole('link', { name: 'Say it in fewer words.' }).click();
    await soon(async () => expect(await hasFocus(page, 'Reason')).toBe(true));
    expect(await asked.getByLabel('Reason').getAttribute('aria-invalid')).toBe('true');
    await asked.getByRole('button', { name: 'Withdraw', exact: true }).click();
    await page.getByText(/Weir Inn, is withdrawn\. The office is shown it/).waitFor();
    await kept.waitFor({ state: 'detached' });
    const { items } = (await operator.as('bookkeeper').get('/v1/visits?state=withdrawn&seen=no').expect(200)).body as { items: { id: string; ruling: object }[] };
    expect(items).toMatchObject([{ id, ruling: { kind: 'withdrawn', reason: 'Entered at the wrong site.' } }]);
    // In the other languages of the console, on a phone: what is to be done today, and a visit.
    for (const language of ['de', 'es', 'en'] as const) {
      await speak(page, language);
      await page.getByRole('heading', { name: 'Weir Inn' }).waitFor();
      expect(await collector.look(`today-${language}`)).toEqual([]);
      await page.getByRole('link', { name: /Weir Inn/ }).click();
      await page.getByRole('group', { name: String(site.machine['tag']) }).waitFor();
      expect(await collector.look(`visit-${language}`)).toEqual([]);
      await page.goBack();
    }
    // A browser that does not open what it keeps, as some do in private windows or on a full phone, says so instead of showing nothing.
    await page.addInitScript("IDBFactory.prototype.open = () => { throw new DOMException('no room', 'QuotaExceededError'); }");
    await page.goto(`/operators/${operator.code}/today/${crypto.randomUUID()}/${site.site.id}`);
    await page.getByText('This phone cannot open what it keeps of visits').waitFor();
    await page.getByText(/write the visit down on paper/).waitFor();
    expect(await collector.look('visit-not-kept')).toEqual([]);
    expect(collector.complaints).toEqual([]);
    await collector.context.close();
  }, 120_000);

  it('what is refused of a visit on paper leads to the field in which it was typed', async () => {
    const { operator } = running.api;
    // Seven hours ahead of the reader's clock.
    const site = await makeRunningSite(operator.as('owner'), { site: { name: 'Lock Inn', timeZone: 'Europe/Berlin' } });
    const [tag, day] = [String(site.machine['tag']), months.last.day(14)];
    const sealed = { siteId: site.site.id, happenedAt: `${months.last.day(7)}T15:00:00Z`, bags: [{ machineTag: tag, number: 'B-1', seal: 'S-100' }] };
    await operator.as('bookkeeper').post('/v1/paper-visits', { collectedBy: orla.id, visit: sealed }).expect(201);
    const bookkeeper = await running.visit({ device: 'desk' });
    const { page } = bookkeeper;
    const press = (name: string) => page.getByRole('button', { name, exact: true }).click();
    await page.goto(`/operators/${operator.code}/collections/enter?site=${site.site.id}`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    await page.getByLabel('Who collected').selectOption('Orla Venn');
    await page.getByLabel('When', { exact: true }).fill(`${day}T10:00`);
    await page.getByRole('group', { name: tag }).getByLabel('Coins', { exact: true }).fill('12');
    await press('Add a slip');
    const slip = page.getByRole('group', { name: 'Slip 1' });
    // A slip is of the day of the visit or of one before it.
    expect(await slip.getByLabel('Day on the slip').inputValue()).toBe(day);
    await slip.getByLabel('Day on the slip').fill(months.last.day(15));
    await slip.getByLabel('Amount').fill('3');
    await press('Enter the visit');
    await page.getByRole('link', { name: /^Slip 1: The slip was presented on/ }).click();
    await soon(async () => expect(await hasFocus(page, 'Day on the slip')).toBe(true));
    // At its field as well, and what was typed stays.
    await slip.getByText(/The slip was presented on/).waitFor();
    expect(await slip.getByLabel('Amount').inputValue()).toBe('3');
    expect(await bookkeeper.look('paper-visit-refused')).toEqual([]);
    await slip.getByLabel('Day on the slip').fill(months.last.day(13));
    await press('Add cash handed over');
    await page.getByRole('group', { name: 'Hand-over 1' }).getByLabel('Amount').fill('500');
    await page.getByLabel('Who received it').fill('Bo Tarn');
    await press('Enter the visit');
    await page.getByRole('link', { name: /^Hand-over 1: More was handed out/ }).click();
    await soon(async () => expect(await page.getByRole('group', { name: 'Hand-over 1' }).getByLabel('Amount').evaluate((field) => field === field.ownerDocument.activeElement)).toBe(true));
    await page.getByRole('button', { name: 'Take away Hand-over 1' }).click();

    // A seal that closed another bag, and a moment that is not there yet.
    await page.getByRole('group', { name: tag }).getByLabel('Coins', { exact: true }).fill('');
    await page.getByLabel('In the counting room: sealed bags go there').check();
    await page.getByRole('group', { name: tag }).getByLabel('Number of the bag').fill('B-2');
    await page.getByRole('group', { name: tag }).getByLabel('Seal', { exact: true }).fill('S-100');
    await press('Enter the visit');
    await page.getByRole('link', { name: `${tag}: One of these seals closed another bag. A seal serves once.` }).click();
    await soon(async () => expect(await hasFocus(page, 'Seal')).toBe(true));
    await page.getByLabel('Seal', { exact: true }).fill('S-101');
    // Pressed before the machines of that moment are there.
    let answer = (): void => undefined;
    const pressed = new Promise<void>((resolve) => (answer = resolve));
    await page.route('**/boxes?*', (route) => void pressed.then(() => route.fallback()));
    await page.getByLabel('When', { exact: true }).fill('2101-01-04T10:00');
    await press('Enter the visit');
    await page.getByRole('button', { name: 'One moment…', exact: true }).waitFor();
    answer();
    await page.getByRole('link', { name: 'Nothing is collected ahead of time.' }).click();
    await soon(async () => expect(await hasFocus(page, 'When')).toBe(true));
    await page.getByLabel('When', { exact: true }).fill(`${day}T10:00`);
    await press('Enter the visit');
    await page.getByRole('heading', { name: 'Count Lock Inn' }).waitFor();
    // As it was typed, by the clock at the site.
    await page.getByText(/^Collected .*, 10:00\sAM GMT\+[12]\. Nothing here says/).waitFor();

    // What a phone sent by the ids of coins is read by their names.
    const device = (await operator.as('owner').post('/v1/devices', { name: 'Office tablet' }).expect(201)).body as { id: string; secret: string };
    const tally = [{ issueId: 'usd-quarter', pieces: 40 }, { mixedIssueIds: ['usd-dime', 'usd-half'], grams: '22.68' }];
    // At a site where this reader had no hand in anything.
    const pier = await makeRunningSite(operator.as('owner'), { site: { name: 'Pier Bar', timeZone: 'Europe/Berlin' } });
    const elsewhere = { siteId: pier.site.id, happenedAt: `${months.last.day(20)}T16:00:00Z`, counts: [{ machineTag: 'NONE-9', tally }] };
    await operator.as('owner').post('/v1/visits', { id: crypto.randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit: elsewhere }).expect(201);
    await page.goto(`/operators/${operator.code}/rounds/visits`);
    const kept = page.getByRole('listitem').filter({ has: page.getByRole('heading', { name: /^Pier Bar \(.*\), .*, [56]:00\sPM GMT\+[12]$/ }) });
    await kept.getByText('What the phone sent').click();
    await kept.getByText('Quarter, pieces 40, Dime, Half dollar unsorted, grams 22.68').waitFor();
    await kept.getByRole('button', { name: 'Enter it as it is right', exact: true }).click();
    expect(await page.getByLabel('Quarter, pieces', { exact: true }).inputValue()).toBe('40');
    expect(await page.getByLabel('When', { exact: true }).inputValue()).toMatch(/T1[78]:00$/);
    expect(bookkeeper.complaints).toEqual([]);
    await bookkeeper.context.close();
  }, 120_000);
});
