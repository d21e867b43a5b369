import type { Page } from 'playwright-core';
import type { CollectionSummary } from '#contracts/collection';
import type { PhoneVisit } from '#contracts/visit';
import { bindToPerson } from '#tests/support/keys';
import { fitBoard } from '#tests/support/metering';
import { describeWithProgram } from '#tests/support/outside-program';
import { makePerson } from '#tests/support/set-up';
import { makeAreaWithTax, makeSharedSite, months, todayAtSites, type RunningSite } from './support/books';
import { signIn, startConsole, type RunningConsole } from './support/console';
import { soon } from './support/soon';

/** What the browser keeps, written a moment after it was typed. */
const keptOn = (page: Page, store: 'visits' | 'counts'): Promise<string> =>
  page.evaluate<string>(`new Promise((resolve) => { const open = indexedDB.open('latchledger'); open.onsuccess = () => { const asked = open.result.transaction('${store}').objectStore('${store}').getAll(); asked.onsuccess = () => { open.result.close(); resolve(JSON.stringify(asked.result)); }; }; })`);

// A collector's morning by phone: two visits without a connection, the page opened anew in between, and both sent once.
describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let quay: RunningSite;
  let mill: RunningSite;
  let today: string;

  beforeAll(async () => {
    today = todayAtSites();
    running = await startConsole();
    const { operator } = running.api;
    const office = operator.as('owner');
    const taxAreaId = (await makeAreaWithTax(office)).id;
    quay = await makeSharedSite(office, { code: 'QUAY', name: 'Quay Tavern', taxAreaId });
    mill = await makeSharedSite(office, { code: 'MILL', name: 'Mill Bar', taxAreaId });
    await fitBoard(office, quay.machines[0]?.id ?? '', { fittedAt: `${months.before.day(2)}T12:00:00Z` });
    const orla = await makePerson(office, { code: 'ORLA', name: 'Orla Venn' });
    await bindToPerson(office, { accountId: operator.as('collector').id, role: 'collector', personId: orla.id });
    await office.post('/v1/rounds', { name: 'Harbour', plannedOn: today, collectorId: orla.id, siteIds: [quay.site.id, mill.site.id] }).expect(201);
    // A seal that closed a bag last month.
    const device = (await office.post('/v1/devices', { name: 'Office tablet' }).expect(201)).body as { id: string; secret: string };
    const visit = { siteId: mill.site.id, happenedAt: `${months.last.day(3)}T12:00:00Z`, bags: [{ machineTag: 'MILL-1', number: 'B-1', seal: 'S-100' }] };
    await office.post('/v1/visits', { id: crypto.randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence: 1, visit }).expect(201);
  }, 180_000);
  afterAll(() => running?.close());

  it('enters two visits without a connection, and each arrives once; what the office must settle waits there', async () => {
    const { operator } = running.api;
    const collector = await running.visit({ device: 'phone' });
    const { page, context } = collector;
    const press = (name: string) => page.getByRole('button', { name, exact: true }).click();
    await page.goto('/');
    await signIn(collector, operator.as('collector'));
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    await page.getByText('This page opens without a connection.').waitFor();
    expect(await collector.look('collector-today')).toEqual([]);

    await context.setOffline(true);
    await page.getByRole('link', { name: 'Enter the visit Quay Tavern' }).click();
    const first = page.getByRole('group', { name: 'QUAY-1' });
    await first.getByLabel('Coins', { exact: true }).fill('1.234');
    await press('Finish the visit');
    await page.getByRole('link', { name: 'QUAY-1: Enter an amount, such as 182.50' }).click();
    await soon(async () => expect(await first.getByLabel('Coins', { exact: true }).evaluate((field) => field === field.ownerDocument.activeElement)).toBe(true));
    expect(await collector.look('collector-visit-refused')).toEqual([]);
    await first.getByLabel('Coins', { exact: true }).fill('182.50');
    await first.getByLabel('Meter Coins', { exact: true }).fill('00850');
    const second = page.getByRole('group', { name: 'QUAY-2' });
    await second.getByLabel('Enter').selectOption('coins by weight');
    // 230 g would be forty quarters and a half; 226.8 g are forty.
    await second.getByLabel('Quarter, grams', { exact: true }).fill('230');
    await second.getByText('Weigh again: this is no whole number of pieces.').waitFor();
    await second.getByLabel('Quarter, grams', { exact: true }).fill('226.8');
    await second.getByText('Comes to $10.00.').waitFor();
    const scale = page.getByRole('group', { name: 'Check the scale' });
    await scale.getByLabel('Scale', { exact: true }).fill('Tray 2');
    await scale.getByLabel('Known weight, grams').fill('1000');
    await scale.getByLabel('It shows, grams').fill('1000');
    await scale.getByText('The scale is right').waitFor();
    await press('Add a slip');
    // Several parts of a visit ask for an amount: the line says which.
    await press('Finish the visit');
    await page.getByRole('link', { name: 'Slip 1: Enter an amount, such as 182.50' }).waitFor();
    await page.getByRole('group', { name: 'Slip 1' }).getByLabel('Amount').fill('3');
    await press('Add cash handed over');
    const handed = page.getByRole('group', { name: 'Hand-over 1' });
    await handed.getByLabel('Amount').fill('20');
    await handed.getByLabel('Who received it').fill('Bo Tarn');
    expect(await collector.look('collector-visit')).toEqual([]);

    // The phone is put away in the middle of it, without a connection, and nothing typed is lost.
    await soon(async () => expect(await keptOn(page, 'visits')).toContain('Bo Tarn'));
    await page.reload();
    await page.getByRole('group', { name: 'Hand-over 1' }).waitFor();
    await soon(async () => expect(await first.getByLabel('Coins', { exact: true }).inputValue()).toBe('182.50'));
    await press('Finish the visit');
    await page.getByRole('heading', { name: 'One visit is not sent yet' }).waitFor();
    await page.getByText('There is no connection.').waitFor();
    expect(await collector.look('collector-unsent')).toEqual([]);

    await page.getByRole('link', { name: 'Enter the visit Mill Bar' }).click();
    await page.getByLabel('In the counting room: sealed bags go there').check();
    await page.getByRole('group', { name: 'MILL-1' }).getByLabel('Number of the bag').fill('B-2');
    await page.getByRole('group', { name: 'MILL-1' }).getByLabel('Seal').fill('S-100');
    await press('Finish the visit');
    await page.getByRole('heading', { name: '2 visits are not sent yet' }).waitFor();
    await page.reload();
    await page.getByRole('heading', { name: '2 visits are not sent yet' }).waitFor();
    // Signing out now is possible, and said to be a bad idea.
    await page.getByRole('button', { name: 'The collector' }).click();
    await press('Sign out');
    await page.getByText('2 visits on this phone did not arrive yet.').waitFor();
    expect(await collector.look('collector-sign-out')).toEqual([]);
    await press('Cancel');

    await context.setOffline(false);
    await page.getByText('Quay Tavern: arrived.').waitFor();
    await page.getByText('Mill Bar: arrived, and the office looks at it before it is booked.').waitFor();
    await page.getByRole('heading', { name: /not sent yet/ }).waitFor({ state: 'detached' });
    expect(await collector.look('collector-sent')).toEqual([]);
    await page.reload();
    await page.getByText('Visited', { exact: true }).waitFor();
    await page.getByText('Arrived, and with the office', { exact: true }).waitFor();
    // A proxy that says that the server is away is not better than no connection: the stops are on the phone.
    await page.route('**/v1/**', (route) => route.fulfill({ status: 502, contentType: 'text/html', body: '<h1>Bad gateway</h1>' }));
    await page.reload();
    await page.getByText(/^The office cannot be reached now\. Stops as of/).waitFor();
    await page.getByRole('heading', { name: 'Quay Tavern' }).waitFor();
    await page.unroute('**/v1/**');
    await page.reload();
    await page.getByText('Arrived, and with the office', { exact: true }).waitFor();

    const office = operator.as('bookkeeper');
    const collected = (await office.get(`/v1/collections?siteId=${quay.site.id}`).expect(200)).body.items as CollectionSummary[];
    expect(collected).toMatchObject([{ state: 'counted', counted: { amount: '192.50' }, refunds: { amount: '3.00' }, handed: { amount: '20.00' } }]);
    const kept = (await office.get('/v1/visits?state=quarantined').expect(200)).body.items as PhoneVisit[];
    expect(kept).toMatchObject([{ siteCode: 'MILL', personName: 'Orla Venn', problem: { errors: [{ code: 'seal-used' }] } }]);
    expect(collector.complaints).toEqual([]);

    // Nothing is left on the phone: not the visits, and after signing out not the stops.
    const left = () => page.evaluate<number[]>("new Promise((resolve) => { const open = indexedDB.open('latchledger'); open.onsuccess = async () => { const count = (name) => new Promise((done) => { const asked = open.result.transaction(name).objectStore(name).count(); asked.onsuccess = () => done(asked.result); }); resolve(await Promise.all(['visits', 'kept', 'account', 'devices', 'counts'].map(count))); }; })");
    expect(await left()).toEqual([0, 1, 1, 1, 0]);
    await page.getByRole('button', { name: 'The collector' }).click();
    await press('Sign out');
    await page.getByLabel('Password').waitFor();
    expect(await left()).toEqual([0, 0, 0, 0, 0]);
    await context.close();
  }, 120_000);

  it('the office enters that visit as it is right, and plans the next round from what is due', async () => {
    const { operator } = running.api;
    const bookkeeper = await running.visit({ device: 'desk' });
    const { page } = bookkeeper;
    const press = (name: string) => page.getByRole('button', { name, exact: true }).click();
    await page.goto(`/operators/${operator.code}/rounds/visits`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    await page.getByText('One of these seals closed another bag. A seal serves once.').waitFor();
    expect(await bookkeeper.look('visits-kept')).toEqual([]);
    await press('Enter it as it is right');
    await page.getByLabel('Reason').fill('The seal was misread.');
    await press('Enter the visit');
    await page.getByRole('link', { name: 'One of these seals closed another bag. A seal serves once.' }).click();
    expect(await bookkeeper.look('visits-enter-refused')).toEqual([]);
    await page.getByLabel('Seal').fill('S-101');
    await press('Enter the visit');
    await page.getByText('No visit waits.').waitFor();
    await page.getByText('The seal was misread.').waitFor();

    await page.getByRole('link', { name: 'Rounds' }).click();
    await press('no rhythm set Quay Tavern');
    await press('Save the rhythm');
    await page.getByRole('link', { name: 'Enter a number of days from 1 to 366' }).click();
    await page.getByLabel('Days from one visit to the next').fill('28');
    await page.getByLabel('Cash in one box at which a visit is due before that, in USD').fill('400');
    await press('Save the rhythm');
    await page.getByRole('button', { name: 'every 28 days Quay Tavern' }).waitFor();
    for (const site of ['Quay Tavern', 'Mill Bar']) await page.getByLabel(`Take ${site} into a round`).check();
    expect(await bookkeeper.look('rounds')).toEqual([]);
    await press('Plan a round of 2 sites');
    await press('Save the round');
    await page.getByRole('link', { name: 'Enter a name for the round' }).click();
    await page.getByLabel('Name').fill('Next month');
    await page.getByLabel('Who collects').selectOption('Orla Venn (ORLA)');
    await page.getByRole('button', { name: 'Move Mill Bar up' }).focus();
    await page.keyboard.press('Enter');
    await page.getByText('Mill Bar is now stop 1 of 2.').waitFor();
    expect(await bookkeeper.look('rounds-plan')).toEqual([]);
    await press('Save the round');
    const planned = page.getByRole('listitem').filter({ has: page.getByRole('heading', { name: /^Next month/ }) });
    await planned.waitFor();
    expect((await planned.getByRole('listitem').allTextContents()).map((each) => each.split(',')[0])).toEqual(['Mill Bar', 'Quay Tavern']);
    // Whoever read the meters of a visit and counted its boxes knew what they should hold.
    const [counted] = (await operator.as('auditor').get(`/v1/collections?siteId=${quay.site.id}`).expect(200)).body.items as CollectionSummary[];
    await page.goto(`/operators/${operator.code}/collections/${counted?.id ?? ''}`);
    await page.getByText(/^Not counted blind: /).waitFor();
    expect(bookkeeper.complaints).toEqual([]);
    await bookkeeper.context.close();
  }, 180_000);

  it('a visit on paper is entered; somebody else receives, opens and counts the bag, reads of nothing expected, and prints the round', async () => {
    const { operator } = running.api;
    const counter = await running.visit({ device: 'desk' });
    const { page } = counter;
    const press = (name: string) => page.getByRole('button', { name, exact: true }).click();
    await page.goto(`/operators/${operator.code}/collections?state=open`);
    await signIn(counter, operator.as('owner'));
    await page.getByRole('link', { name: 'Enter a visit' }).click();
    await page.getByRole('heading', { name: 'Enter a visit' }).waitFor();
    await page.getByLabel('Site').selectOption('Quay Tavern (QUAY)');
    await press('Enter the visit');
    await page.getByRole('link', { name: 'Choose who collected' }).waitFor();
    expect(await counter.look('paper-visit')).toEqual([]);
    await page.getByLabel('Who collected').selectOption('Orla Venn');
    await page.getByLabel('When', { exact: true }).fill(`${months.last.day(20)}T10:00`);
    await page.getByRole('group', { name: 'QUAY-1' }).getByLabel('Coins', { exact: true }).fill('12');
    await press('Enter the visit');
    await page.getByRole('link', { name: 'QUAY-1, meter Coins: Enter what the meter shows, or choose why it was not read' }).waitFor();
    await page.getByRole('group', { name: 'QUAY-1' }).getByLabel('If Meter Coins was not read: why?').selectOption({ label: 'Display dark' });
    await press('Enter the visit');
    await page.getByRole('row', { name: /Quay Tavern/ }).filter({ hasText: '12.00' }).waitFor();
    await page.goto(`/operators/${operator.code}/collections?state=open`);
    await page.getByRole('row', { name: /Mill Bar/ }).filter({ hasText: formatted(today) }).getByRole('link', { name: /^Count / }).click();
    await page.getByRole('heading', { name: 'Count Mill Bar' }).waitFor();
    await press('Hand in the count');
    await page.getByRole('link', { name: 'Some bags are not opened: open them above, or say that they are not here' }).waitFor();
    expect(await counter.look('count-bags')).toEqual([]);
    await page.getByLabel('Seal that is on bag B-2').fill('S-999');
    await press('Receive bag B-2');
    await page.getByText('Another seal: S-101 was put on at the site, S-999 is on the bag.').waitFor();
    // Read off the bag again: what was on it when it came says nothing of now.
    expect(await page.getByLabel('Seal that is on bag B-2').inputValue()).toBe('');
    await page.getByLabel('Seal that is on bag B-2').fill('S-999');
    await press('Open bag B-2');
    const box = page.getByRole('group', { name: 'MILL-1' });
    await box.getByLabel('Coins', { exact: true }).fill('80');
    // The page is opened anew in the middle of it, and what was typed is still there; signing out says that it would be gone.
    await soon(async () => expect(await keptOn(page, 'counts')).toContain('"80"'));
    await page.reload();
    await page.getByText(/and not handed in yet: here it is again\.$/).waitFor();
    expect(await box.getByLabel('Coins', { exact: true }).inputValue()).toBe('80');
    await page.getByRole('button', { name: 'The owner' }).click();
    await press('Sign out');
    await page.getByText('1 count of the counting room was begun here and not handed in. What was typed is deleted when you sign out.').waitFor();
    await press('Cancel');
    expect(await counter.look('count-boxes')).toEqual([]);
    await press('Hand in the count');
    await page.getByRole('button', { name: /Accept/ }).first().waitFor();
    const counted = (await operator.as('auditor').get(`/v1/collections?siteId=${mill.site.id}&state=counted`).expect(200)).body.items as CollectionSummary[];
    expect(counted).toMatchObject([{ counted: { amount: '80.00' } }]);

    await page.getByRole('link', { name: 'Rounds' }).click();
    await page.getByRole('link', { name: 'Round sheet Harbour' }).click();
    await page.getByText('No lock on a cash box at these sites is recorded').waitFor();
    await page.emulateMedia({ media: 'print' });
    await page.getByRole('button', { name: 'Print' }).waitFor({ state: 'hidden' });
    await page.emulateMedia({ media: 'screen' });
    expect(await counter.look('round-sheet')).toEqual([]);
    // Two dozen stops, each with an address, are one A4 page.
    await page.evaluate(`{
      const rows = document.querySelector('tbody');
      while (rows.children.length < 24) rows.append(rows.children[0].cloneNode(true));
      for (const address of rows.querySelectorAll('th div')) address.textContent = '14 Harbour Street, Chicago, IL 60601';
    }`);
    await page.emulateMedia({ media: 'print' });
    expect((await page.pdf({ format: 'A4' })).toString('latin1').match(/\/Type\s*\/Page[^s]/g)).toHaveLength(1);
    expect(counter.complaints).toEqual([]);
    await counter.context.close();
  }, 180_000);

  it('a phone that was lost is revoked; its collector sends from another one once the office released the account, and not before', async () => {
    const { operator } = running.api;
    const collector = await running.visit({ device: 'phone' });
    const bookkeeper = await running.visit({ device: 'desk' });
    const { page } = bookkeeper;
    await operator.as('collector').post('/v1/devices', { name: 'Lost phone' }).expect(201);
    await page.goto(`/operators/${operator.code}/rounds/visits`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    const row = page.getByRole('row', { name: /Lost phone/ });
    await row.getByRole('button', { name: /^Revoke / }).click();
    await page.getByText('its account registers no other phone before you release it').waitFor();
    await page.getByLabel('Reason').fill('Left in a taxi.');
    await page.getByRole('button', { name: 'Revoke', exact: true }).click();
    await row.getByText(/^revoked .* by you: Left in a taxi\.$/).waitFor();

    // Another browser knows nothing of the lost phone: it is the replacement, and keeps what it cannot send.
    const phone = collector.page;
    await phone.goto('/');
    await signIn(collector, operator.as('collector'));
    await phone.getByRole('link', { name: /^Enter .* visit Quay Tavern$/ }).first().click();
    await phone.getByRole('group', { name: 'QUAY-2' }).getByLabel('Coins', { exact: true }).fill('7.25');
    await phone.getByRole('button', { name: 'Finish the visit', exact: true }).click();
    await phone.getByText('A phone of yours was revoked').waitFor();
    await phone.getByRole('heading', { name: 'One visit is not sent yet' }).waitFor();

    await row.getByRole('button', { name: /^Release the account / }).click();
    await page.getByText('The old phone stays revoked').waitFor();
    expect(await bookkeeper.look('phones-release')).toEqual([]);
    await page.getByRole('button', { name: 'Release the account', exact: true }).click();
    await page.getByText('Enter a reason').first().waitFor();
    await page.getByLabel('Reason').fill('Orla came by with a new phone.');
    await page.getByRole('button', { name: 'Release the account', exact: true }).click();
    await row.getByText(/^account released .* by you: Orla came by with a new phone\.$/).waitFor();
    await row.getByText(/Left in a taxi\.$/).waitFor();
    expect(await row.getByRole('button').count()).toBe(0);
    expect(await bookkeeper.look('phones-released')).toEqual([]);

    // It tries again by itself now and then, and at once when it is opened.
    await phone.reload();
    await soon(async () => {
      const counted = (await operator.as('auditor').get(`/v1/collections?siteId=${quay.site.id}`).expect(200)).body.items as CollectionSummary[];
      expect(counted.map((each) => each.counted?.amount)).toContain('7.25');
    });
    await phone.getByRole('heading', { name: /not sent yet/ }).waitFor({ state: 'detached' });
    for (const { complaints, context } of [collector, bookkeeper]) {
      expect(complaints).toEqual([]);
      await context.close();
    }
  }, 120_000);
});

const formatted = (day: string): string => new Intl.DateTimeFormat('en-US', { timeZone: 'UTC', dateStyle: 'long' }).format(new Date(`${day}T12:00:00Z`));
