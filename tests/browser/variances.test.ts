import type { Page } from 'playwright-core';
import { describeWithProgram } from '#tests/support/outside-program';
import { transmissionOf } from '#tests/support/audit-data';
import { heldBy, inStore, keyBooks } from '#tests/support/keys';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makePerson, makeTaxArea, type Made } from '#tests/support/set-up';
import { makeSharedSite, months, usd, type RunningSite } from './support/books';
import type { Visit } from './support/browser';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { before, last } = months;
const noon = (day: string) => `${day}T18:00:00Z`;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let owner: Visit;
  let page: Page;
  let bar: RunningSite;

  beforeAll(async () => {
    running = await startConsole();
    const { operator } = running.api;
    const office = operator.as('owner');
    const taxAreaId = (await makeTaxArea(office)).id;
    bar = await makeSharedSite(office, { code: 'QUAY', name: 'Quay Tavern', taxAreaId });
    await countedWithKeys(running, bar);
    const { site, machines: [machine] } = await makeSharedSite(office, { code: 'LOCK', name: 'Lock Inn', taxAreaId });
    // Too little for anybody to follow up.
    if (machine !== undefined) await counted(running, { machine, siteId: site.id, day: last.day(25), by: null, coin: '399.00', atMachine: null });
    owner = await running.visit({ device: 'desk' });
    page = owner.page;
    await page.goto(`/operators/${operator.code}`);
    await signIn(owner, office);
    await page.getByRole('heading', { name: last.title }).waitFor();
  }, 180_000);
  afterAll(() => running?.close());

  it('adds up what was short, leads to the charts of a machine, and shows what a day brings', async () => {
    await page.getByRole('link', { name: 'Variances', exact: true }).click();
    await page.getByRole('row', { name: /^Quay Tavern QUAY/ }).getByText('-$280.00').waitFor();
    expect(await owner.look('variances')).toEqual([]);
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Download as CSV' }).click()]);
    expect(download.suggestedFilename()).toMatch(/^variances-by-site-.*\.csv$/);
    await page.getByRole('row', { name: /^Quay Tavern QUAY/ }).getByRole('link', { name: '7', exact: true }).click();
    await page.getByText('Of Quay Tavern only.').waitFor();
    await soon(async () => expect(await page.getByRole('table', { name: 'Flags' }).getByRole('row').count()).toBe(8));
    await page.getByRole('option', { name: /^Not explained, of counts from / }).waitFor({ state: 'attached' });
    await page.goBack();
    // The picture of each way to add up: the longer the bar to the left of nought, the more was short.
    const wasShort = async (by: string, names: readonly [string, string]): Promise<void> => {
      await page.getByLabel('Add up by').selectOption(by);
      const bars = page.getByRole('img', { name: new RegExp(`^Shortages and overages by ${by.toLowerCase()}, USD\\.`) }).locator('div');
      await soon(async () => expect(await bars.allTextContents()).toEqual([`${names[0]}-$280.00`, `${names[1]}-$1.00`]));
      const [long, short] = await bars.evaluateAll((all) => all.map((bar) => bar.querySelector('rect')?.getBoundingClientRect().width ?? 0));
      expect((long ?? 0) / (short ?? 0)).toBeCloseTo(280, -1);
    };
    await wasShort('Site', ['Quay Tavern', 'Lock Inn']);
    await wasShort('Month', [before.title, last.title]);
    await wasShort('Machine', ['QUAY-1', 'LOCK-1']);
    await page.getByRole('link', { name: 'QUAY-1' }).click();
    await page.getByRole('heading', { name: 'Variances of QUAY-1' }).waitFor();
    await page.getByRole('img', { name: /^Shortages that add up/ }).waitFor();
    await page.getByText('In standard deviations of this machine’s differences.').first().waitFor();
    await page.getByText(/it signals for nothing once in \d+ counts on average/).waitFor();
    // The figures behind a picture open below it.
    await page.getByRole('heading', { name: /^Figures of the charts/ }).first().click();
    await soon(async () => expect(await page.getByRole('row').filter({ hasText: 'out of tolerance' }).count()).toBe(7));
    expect(await owner.look('variances-machine')).toEqual([]);
    await page.getByRole('link', { name: 'Earnings', exact: true }).click();
    await page.getByRole('row', { name: /^Quay Tavern QUAY/ }).waitFor();
    await page.getByText('Nothing is sure enough to be worth the work.').waitFor();
    expect(await owner.look('earnings')).toEqual([]);
    await page.getByRole('link', { name: 'Quay Tavern', exact: true }).click();
    await page.getByRole('heading', { name: 'Quay Tavern', level: 1 }).waitFor();
    await page.goBack();
    await page.getByLabel('Show by').selectOption('Cabinet');
    await page.getByRole('row', { name: /QUAY-1/ }).getByRole('link').click();
    await page.getByRole('heading', { name: 'QUAY-1', level: 1 }).waitFor();
    // Back is where one was, by cabinet still.
    await page.goBack();
    await page.getByRole('row', { name: /QUAY-1/ }).waitFor();
    await page.getByRole('link', { name: 'Variances', exact: true }).click();
  });

  it('keeps both of two choices that are made faster than the address follows', async () => {
    await page.getByLabel('Add up by').waitFor();
    const choose = '(select, value) => { select.value = value; select.dispatchEvent(new Event("change", { bubbles: true })); }';
    // A string is one expression: a function in it would not be called.
    await page.evaluate(`(() => { const [by, , cash] = document.querySelectorAll('main select'); const choose = ${choose}; choose(by, 'machine'); choose(cash, 'note'); })()`);
    await page.waitForURL(({ searchParams }) => searchParams.get('by') === 'machine' && searchParams.get('tender') === 'note');
  });

  it('says who could have opened the box of a flag, and takes its explanation', async () => {
    await page.getByRole('link', { name: 'Flags' }).click();
    // What nobody has explained is there at once, of whichever month it is.
    const listed = page.getByRole('table', { name: 'Flags' }).getByRole('row');
    await soon(async () => expect(await listed.count()).toBe(8));
    expect(await owner.look('variances-flags-open')).toEqual([]);
    await page.getByLabel('Show').selectOption('Of a month');
    await page.getByLabel('Month').fill(before.startsOn.slice(0, 7));
    await page.getByText('7 flags are not explained yet, 0 are explained.').waitFor();
    expect(await owner.look('variances-flags')).toEqual([]);
    await page.getByRole('link', { name: 'QUAY-1' }).first().click();
    await page.getByRole('heading', { name: /^Flag: QUAY-1/ }).waitFor();
    // Why stands under the title, with the site as people call it, and nowhere a second time.
    await page.getByText(/^Quay Tavern \(QUAY\)\. /).waitFor();
    await page.getByText('Raised', { exact: true }).waitFor();
    await page.getByRole('row', { name: /^Tilda Thorn/ }).waitFor();
    await page.getByText('Who emptied the boxes had a key to each of them.').waitFor();
    await page.getByText('Coins and notes: $400.00 counted at the machine, $360.00 in the counting room. The count at the machine agrees with the meters, and the counting room does not.').waitFor();
    expect(await owner.look('variances-flag')).toEqual([]);
    expect(await page.getByRole('link', { name: 'The collection', exact: true }).getAttribute('href')).toMatch(/\/collections\/[0-9a-f-]{36}$/);
    await page.getByRole('button', { name: 'Explain it' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'Explain it' }).click();
    await dialog.getByRole('link', { name: /^Choose the cause/ }).waitFor();
    expect(await owner.look('variances-explain')).toEqual([]);
    await dialog.getByLabel('Cause').selectOption('no cause found');
    await dialog.getByLabel('What shows it').fill('Counted again by two people.');
    await dialog.getByRole('button', { name: 'Explain it' }).click();
    await page.getByText('Explained: no cause found').waitFor();
  });

  it('compares shortages with the custody of keys only when asked, under its caution', async () => {
    await page.getByRole('link', { name: 'Shortages and keys' }).click();
    await page.getByText('Choose the days to compare. Looking is recorded.').waitFor();
    await page.getByRole('button', { name: 'Compare' }).click();
    await page.getByText(/proves nothing about a person/).waitFor();
    const rows = page.getByRole('table', { name: 'Holders of cash-box keys' }).getByRole('row');
    await rows.filter({ hasText: 'Tilda Thorn' }).getByText('7 of 8').waitFor();
    await soon(async () => expect(await rows.nth(1).textContent()).toMatch(/^Tilda Thorn/));
    expect(await owner.look('variances-attribution')).toEqual([]);
    await page.getByLabel('From').fill('2024-01-01');
    await page.getByLabel('To', { exact: true }).fill('2024-12-31');
    await page.getByRole('button', { name: 'Compare' }).click();
    await page.getByText('In these days no box with meters was emptied twice: there is nothing to compare.').waitFor();
    expect(owner.complaints).toEqual([]);
  });

  it('follows the cash of a day to the bank, and a bag by its seal', async () => {
    const collector = running.api.operator.as('collector');
    const visit = { siteId: bar.site.id, happenedAt: noon(last.day(26)), counts: [] };
    const { body } = await collector.post('/v1/collections', visit).expect(201);
    await collector.post(`/v1/collections/${(body as Made).id}/bags`, { bags: [{ number: 'B-9', seal: 'S-4001' }] }).expect(201);
    await page.getByRole('link', { name: 'Collections', exact: true }).click();
    await page.getByRole('link', { name: 'Cash of the day' }).click();
    await page.getByLabel('Day').fill(last.day(3));
    await page.getByText('-$400.00 at the bank, against what was found on this day: it is with the counting room.').waitFor();
    // Before it is known in which currency, nothing can be booked, and the way out is open.
    let answer = (): void => undefined;
    const isOpened = new Promise<void>((resolve) => (answer = resolve));
    await page.route('**/v1/operator', (route) => void isOpened.then(() => route.fallback()));
    await page.getByRole('button', { name: 'Record a move of cash' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('button', { name: 'One moment…', exact: true }).waitFor();
    expect(await dialog.getByRole('button', { name: 'Cancel' }).isEnabled()).toBe(true);
    answer();
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByRole('link', { name: /^Enter an amount above zero/ }).waitFor();
    expect(await owner.look('cash-move')).toEqual([]);
    await dialog.getByLabel('Amount in USD').fill('400');
    await dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByText(/^Paid into the bank: \$400.00 from the counting room to the bank/).waitFor();
    await dialog.getByRole('button', { name: 'Book it' }).click();
    await page.getByText('Everything that was due arrived.').waitFor();
    expect(await owner.look('cash')).toEqual([]);
    await page.getByRole('button', { name: 'Set up a change fund' }).click();
    await dialog.getByLabel('Code').fill('changer-1');
    await dialog.getByLabel('Site').selectOption('Quay Tavern (QUAY)');
    await dialog.getByRole('button', { name: 'Set up a change fund' }).click();
    await page.getByRole('row', { name: /^CHANGER-1 Changer QUAY \$0.00 never/ }).waitFor();
    await page.getByLabel('Day').fill(last.day(26));
    await page.getByRole('button', { name: 'Receive bag B-9' }).click();
    await dialog.getByLabel('Seal on the bag').fill('S-4007');
    await dialog.getByRole('button', { name: 'Receive' }).click();
    await page.getByText('Bag B-9, QUAY: another seal when received').waitFor();
    expect(await owner.look('cash-bags')).toEqual([]);
    expect(owner.complaints).toEqual([]);
  });

  it('lists what is still open over many days, with the way to each day', async () => {
    await page.getByRole('link', { name: 'Gaps still open' }).click();
    await page.getByLabel('First day').fill(last.day(1));
    await page.getByLabel('Last day').fill(last.day(28));
    await page.getByRole('table', { name: 'Bags' }).getByRole('row', { name: /B-9 QUAY another seal when received/ }).waitFor();
    await page.getByText(/^1 collection of these days is not accepted yet/).waitFor();
    expect(await owner.look('cash-gaps')).toEqual([]);
    await page.getByRole('table', { name: 'Bags' }).getByRole('link').click();
    await page.getByText('Bag B-9, QUAY: another seal when received').waitFor();
    expect(await page.getByLabel('Day').inputValue()).toBe(last.day(26));
    expect(owner.complaints).toEqual([]);
  });

  it('corrects a count where it stands, and fills a change fund out of the boxes', async () => {
    await page.getByLabel('Day').fill(last.day(3));
    await page.getByText('Everything that was due arrived.').waitFor();
    await page.getByRole('button', { name: 'Record a move of cash' }).click();
    const dialog = page.getByRole('dialog');
    const look = () => dialog.getByRole('button', { name: 'Look at what will be booked' }).click();
    await dialog.getByLabel('What happened').selectOption('Change fund filled');
    await dialog.getByLabel('Change fund').selectOption('CHANGER-1');
    await soon(async () => expect(await dialog.getByLabel('Out of').getByRole('option').allTextContents()).toContainEqual(expect.stringMatching(/^The boxes emptied /)));
    await dialog.getByLabel('Out of').selectOption({ index: 1 });
    await dialog.getByLabel('Amount in USD').fill('15');
    await look();
    await dialog.getByRole('link', { name: 'Enter a reason of at least three characters' }).click();
    await dialog.getByLabel('Reason').fill('Quarters for the changer.');
    await look();
    await dialog.getByText(/^Change fund filled: \$15.00 from the boxes at Quay Tavern to change fund CHANGER-1/).waitFor();
    await dialog.getByRole('button', { name: 'Book it' }).click();
    await page.getByRole('row', { name: /^Change fund filled CHANGER-1 \$15.00/ }).waitFor();

    const { operator } = running.api;
    await page.goto(`/operators/${operator.code}/collections?state=accepted`);
    await page.getByRole('link', { name: new Intl.DateTimeFormat('en-US', { timeZone: 'UTC', dateStyle: 'long' }).format(new Date(noon(last.day(3)))) }).click();
    await page.getByRole('row', { name: /^CHANGER-1 \$15.00/ }).waitFor();
    await page.getByRole('button', { name: 'Correct count of QUAY-1' }).click();
    await dialog.getByLabel('Coins', { exact: true }).fill('395,5');
    await look();
    await dialog.getByRole('link', { name: /^Coins: Enter an amount in figures/ }).click();
    expect(await owner.look('correct-count')).toEqual([]);
    await dialog.getByLabel('Coins', { exact: true }).fill('395.50');
    await dialog.getByLabel('Reason').fill('A roll was counted twice.');
    await look();
    await dialog.getByText('Coins: $400.00 becomes $395.50.').waitFor();
    await dialog.getByText(/^The takings of this collection change by -\$4.50/).waitFor();
    await dialog.getByRole('button', { name: 'Correct count', exact: true }).click();
    await page.getByText(/^coins 400.00, notes 0.00 until .*; you corrected it: A roll was counted twice\.$/).waitFor();
    expect(await owner.look('collection-figures')).toEqual([]);
    // What one entered oneself is not for oneself to correct once it is in the books: said before, and again by the server.
    await page.getByRole('button', { name: 'Correct count of QUAY-1' }).click();
    await dialog.getByText(/^You entered this figure, and it is in the books/).waitFor();
    await dialog.getByLabel('Coins', { exact: true }).fill('400');
    await dialog.getByLabel('Reason').fill('It was right.');
    await look();
    await dialog.getByRole('button', { name: 'Correct count', exact: true }).click();
    await dialog.getByText(/The count is your own and was accepted/).waitFor();
    await dialog.getByRole('button', { name: 'Cancel' }).click();
    expect(owner.complaints).toEqual([]);
  });

  it('takes what a machine was read out into, and gives a machine its token', async () => {
    const { operator } = running.api;
    const office = operator.as('owner');
    const [, machine] = bar.machines;
    await fitBoard(office, machine?.id ?? '', { fittedAt: noon(before.day(2)), meters: [meterFields({ digits: 8, unitValue: usd('0.01'), mostPerHour: 100_000, value: '90000' })] });
    const { body } = await operator.as('collector').post('/v1/collections', { siteId: bar.site.id, happenedAt: noon(last.day(27)), counts: [] }).expect(201);
    await page.goto(`/operators/${operator.code}/collections/${(body as Made).id}`);
    const file = (text: string) => ({ name: 'machine.dts', mimeType: 'text/plain', buffer: Buffer.from(text) });
    const text = transmissionOf({ assetNumber: 'QUAY-2', box: [40_00, 940_00], notes: [0, 0], more: ['CA10*0*5000', 'CA15*8000'] });
    await page.getByLabel('File of the machine').setInputFiles(file(text.replace('VA2*2500', 'VA2*2600')));
    await page.getByRole('button', { name: 'Check a file' }).click();
    await page.getByText(/^G8501: The checksum does not fit/).first().waitFor();
    await page.getByLabel('File of the machine').setInputFiles(file(text));
    await page.getByRole('button', { name: 'Check a file' }).click();
    await page.getByRole('row', { name: /^Coins CA306 00094000/ }).waitFor();
    await page.locator('summary').click();
    await page.getByRole('row', { name: 'To the cash box 40.00 CA302 940.00 CA306' }).waitFor();
    const unconfirmed = /^That CA1501 tells what lies in the tubes is not confirmed by the standard/;
    await page.getByText(unconfirmed).waitFor();
    expect(await owner.look('audit-files')).toEqual([]);
    await page.getByRole('button', { name: 'It is QUAY-2: accept' }).click();
    await page.getByRole('heading', { name: 'QUAY-2 Accepted' }).waitFor();
    // The fund of its tubes was never counted: the day shows what the machine tells, and that nothing says what should lie there.
    await office.post('/v1/change-funds', { code: 'TUBES-2', kind: 'tubes', siteId: bar.site.id, machineId: machine?.id }).expect(201);
    await office.post(`/v1/collections/${String((body as Made).id)}/counts`, { counts: [{ machineTag: 'QUAY-2', coin: usd('40.00'), note: usd('0.00') }] }).expect(200);
    await office.post(`/v1/collections/${String((body as Made).id)}/accept`).expect(200);
    await page.goto(`/operators/${operator.code}/collections/cash?day=${last.day(27)}`);
    const tubes = page.getByRole('region', { name: 'Change tubes' }).first();
    await tubes.getByText(unconfirmed).waitFor();
    await tubes.getByRole('row', { name: /^QUAY-2 QUAY The fund was never counted: count it on a day on which the machine is read out\. TUBES-2 0\.00 80\.00/ }).waitFor();
    expect(await owner.look('cash-tubes')).toEqual([]);

    await page.goto(`/operators/${operator.code}/machines/reports`);
    await page.getByText('No machine has a token yet.').waitFor();
    await page.getByRole('button', { name: 'Make a token' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByLabel('Machine').fill('QUAY-2');
    await dialog.getByRole('button', { name: 'Make a token' }).click();
    const secret = await dialog.getByLabel('Token').inputValue();
    await page.getByRole('button', { name: 'I have it' }).click();
    const began = (hoursAgo: number, fault: string) => ({ kind: 'fault', happenedAt: new Date(Date.now() - hoursAgo * 3_600_000).toISOString(), fault });
    const report = { machineTag: 'QUAY-2', events: [began(2, 'E-4'), began(3, 'E-5')] };
    await running.api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send(report).expect(200);
    await page.reload();
    await page.getByRole('button', { name: 'Dismiss QUAY-2, Fault E-5' }).click();
    await dialog.getByRole('button', { name: 'Dismiss' }).click();
    await dialog.getByRole('link', { name: 'Enter a reason of at least three characters' }).click();
    await dialog.getByLabel('Reason').fill('A loose contact.');
    await dialog.getByRole('button', { name: 'Dismiss' }).click();
    await page.getByRole('row', { name: /^QUAY-2 Fault E-5 .* A loose contact\. by you$/ }).waitFor();
    await page.getByRole('row', { name: /^QUAY-2 Quay Tavern Fault E-4/ }).getByRole('button', { name: 'Record the outage' }).click();
    await dialog.getByRole('button', { name: 'Record the outage' }).click();
    await page.getByText('No machine reports a fault or an open door that is not recorded.').waitFor();
    // An outage that only the collector knows of, who counted there: somebody else confirms it.
    const away = { machineId: machine?.id, startedAt: noon(last.day(20)), endedAt: noon(last.day(28)), cause: 'Coin jam', remedy: 'Cleared it.' };
    const { body: counts } = await operator.as('collector').post('/v1/collections', { siteId: bar.site.id, happenedAt: noon(last.day(28)), counts: [{ machineTag: 'QUAY-2', coin: usd('1.00'), note: usd('0.00') }] }).expect(201);
    await operator.as('bookkeeper').post(`/v1/collections/${(counts as Made).id}/accept`).expect(200);
    await operator.as('collector').post('/v1/outages', away).expect(201);
    await page.reload();
    await page.getByText(/^Some outages are only the word of somebody/).waitFor();
    expect(await owner.look('outages')).toEqual([]);
    await page.getByRole('button', { name: 'Confirm QUAY-2' }).click();
    await dialog.getByRole('button', { name: 'Confirm' }).click();
    const confirmed = page.getByRole('row').filter({ hasText: 'confirmed by you' });
    await confirmed.getByRole('button', { name: 'Take back QUAY-2' }).click();
    await dialog.getByLabel('Reason').fill('It was next door.');
    await dialog.getByRole('button', { name: 'Take back' }).click();
    await page.getByText('taken back by you: It was next door.').waitFor();
    await page.getByRole('button', { name: 'Report an outage' }).click();
    await dialog.getByRole('button', { name: 'Report an outage' }).click();
    await dialog.getByRole('link', { name: 'Choose the machine' }).click();
    await dialog.getByLabel('Machine').fill('QUAY-1');
    await dialog.getByLabel('What was wrong').fill('Cloth torn.');
    await dialog.getByRole('button', { name: 'Report an outage' }).click();
    await page.getByRole('button', { name: 'End the outage QUAY-1' }).waitFor();
    expect(await owner.look('machine-reports')).toEqual([]);
    await page.getByRole('button', { name: 'Revoke QUAY-2' }).click();
    await dialog.getByRole('button', { name: 'Revoke' }).click();
    await page.getByText(/^revoked /).waitFor();
    expect(owner.complaints).toEqual([]);
  });

  it('fits a phone, and keeps the comparison from everybody but the owner', async () => {
    const auditor = await running.visit({ device: 'phone' });
    const path = `/operators/${running.api.operator.code}/variances`;
    await auditor.page.goto(path);
    await signIn(auditor, running.api.operator.as('auditor'));
    await auditor.page.getByRole('row', { name: /^Quay Tavern QUAY/ }).waitFor();
    expect(await auditor.look('variances')).toEqual([]);
    expect(await auditor.page.getByRole('link', { name: 'Shortages and keys' }).count()).toBe(0);
    await auditor.page.getByLabel('Add up by').selectOption('Machine');
    await auditor.page.getByRole('link', { name: 'QUAY-1' }).click();
    await auditor.page.getByRole('img', { name: /^Moving average/ }).waitFor();
    expect(await auditor.look('variances-machine')).toEqual([]);
    await auditor.page.goto(`/operators/${running.api.operator.code}/collections/cash?day=${last.day(3)}`);
    await auditor.page.getByRole('heading', { name: 'Round of Horst Hale' }).waitFor();
    expect(await auditor.look('cash')).toEqual([]);
    await auditor.page.goto(`${path}/attribution`);
    await auditor.page.getByText('This is not open to your role').waitFor();
    expect(auditor.complaints).toEqual([]);
    await auditor.context.close();
  });
});

/** Fifteen counts of one machine: seven short ones while Tilda has the key, eight good ones while Horst has it. */
async function countedWithKeys(running: RunningConsole, bar: RunningSite): Promise<void> {
  const { operator } = running.api;
  const office = operator.as('owner');
  const keys = keyBooks(operator);
  const [machine] = bar.machines;
  if (machine === undefined) throw new Error('the site has machines');
  const [tilda, horst] = [await makePerson(office, { name: 'Tilda Thorn', startedOn: '2024-01-01' }), await makePerson(office, { name: 'Horst Hale', startedOn: '2024-01-01' })];
  const cut = await keys.cut({ class: 'cash-box' });
  await keys.lock({ machineId: machine.id, cut, opens: 'everything', fittedAt: noon(before.day(1)) });
  const safe = await keys.store();
  const copy = await keys.copy({ cut, storeId: safe, madeAt: noon(before.day(1)) });
  await keys.happen(copy, { says: 'issued', at: noon(before.day(2)), from: inStore(safe), to: heldBy(tilda.id) });
  for (let visit = 0; visit < 8; visit += 1) await counted(running, { machine, siteId: bar.site.id, day: before.day(3 + 3 * visit), by: tilda, coin: visit === 0 ? '400.00' : '360.00', atMachine: visit === 1 ? '400.00' : null });
  await keys.happen(copy, { says: 'returned', at: noon(before.day(27)), from: heldBy(tilda.id), to: inStore(safe) });
  await keys.happen(copy, { says: 'issued', at: noon(last.day(1)), from: inStore(safe), to: heldBy(horst.id) });
  for (let visit = 0; visit < 7; visit += 1) await counted(running, { machine, siteId: bar.site.id, day: last.day(3 + 3 * visit), by: horst, coin: '400.00', atMachine: null });
}

async function counted(running: RunningConsole, visit: { machine: Made; siteId: string; day: string; by: Made | null; coin: string; atMachine: string | null }): Promise<void> {
  const { operator } = running.api;
  const [collector, office] = [operator.as('collector'), operator.as('bookkeeper')];
  const machineTag = visit.machine['tag'];
  const count = (coin: string, more: object = {}) => ({ machineTag, coin: usd(coin), note: usd('0.00'), ...more });
  const counts = visit.atMachine === null ? [count(visit.coin, { meteredAmount: usd('400.00') })] : [];
  const { id } = (await collector.post('/v1/collections', { siteId: visit.siteId, happenedAt: noon(visit.day), ...(visit.by === null ? {} : { collectedBy: visit.by.id }), counts }).expect(201)).body as Made;
  if (visit.atMachine !== null) {
    await collector.post(`/v1/collections/${id}/field-counts`, { countedBy: visit.by?.id, counts: [count(visit.atMachine)] }).expect(200);
    await collector.post(`/v1/collections/${id}/counts`, { counts: [count(visit.coin)] }).expect(200);
    await office.post(`/v1/collections/${id}/metered-amounts`, { amounts: [{ machineTag, amount: usd('400.00') }] }).expect(200);
  }
  await office.post(`/v1/collections/${id}/accept`).expect(200);
}
