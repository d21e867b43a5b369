import type { Collection } from '#contracts/collection';
import type { MeterReadings } from '#contracts/meter';
import type { Settlement } from '#contracts/settlement';
import { settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { describeWithProgram } from '#tests/support/outside-program';
import { goByMeters, makeRunningSite } from '#tests/support/set-up';
import { months, startWorking, usd } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';
import { soon } from './support/soon';

const { before, last } = months;

describeWithProgram('chromium', 'chromium', () => {
  let running: RunningConsole;
  let stopWorking: () => Promise<void>;

  beforeAll(async () => {
    running = await startConsole();
    stopWorking = startWorking(running.api.operator);
  }, 180_000);
  afterAll(async () => {
    await stopWorking?.();
    await running?.close();
  });

  it('enters the count of a machine that left as the agreement ended, with what its meters imply, under the last day of that', async () => {
    const { operator } = running.api;
    const office = operator.as('owner');
    const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
    await goByMeters(office, from);
    const path = `/v1/agreements/${from.agreement.id}`;
    await office.post(`${path}/end`, { endedOn: before.day(5) }).expect(200);
    await office.post(`/v1/placements/${from.placement.id}/move`, { siteId: to.site.id, movedOn: before.day(5) }).expect(201);

    const owner = await running.visit({ device: 'desk' });
    const { page } = owner;
    const dialog = page.getByRole('dialog');
    await page.goto(`/operators/${operator.code}/machines/${from.machine.id}`);
    await signIn(owner, operator.as('owner'));
    const task = page.getByText(/^It left .*, and nobody counted what was in its box\./);
    await task.waitFor();
    await page.getByRole('button', { name: /^Enter the count/ }).click();
    await dialog.getByLabel('Coins', { exact: true }).fill('12.50');
    await dialog.getByLabel('Notes', { exact: true }).fill('0');
    await dialog.getByLabel('What its meters imply').fill('13.00');
    await dialog.getByLabel('Booked under another day (optional)').fill(before.day(4));
    await dialog.getByRole('button', { name: 'Enter the count' }).click();
    await dialog.getByRole('link', { name: 'Enter a reason of at least three characters' }).waitFor();
    await dialog.getByLabel('Why it is booked to another day').fill('The agreement ended that night');
    expect(await owner.look('removal-count')).toEqual([]);
    await dialog.getByRole('button', { name: 'Enter the count' }).click();
    await task.waitFor({ state: 'detached' });
    const { items } = (await office.get(`/v1/collections?siteId=${from.site.id}`).expect(200)).body as { items: { id: string }[] };
    const collection = (await office.get(`/v1/collections/${items[0]?.id ?? ''}`).expect(200)).body as Collection;
    expect(collection).toMatchObject({ localDate: before.day(5), accountingDate: before.day(4), accountingReason: 'The agreement ended that night', meteredMissing: [] });
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  });

  it('moves a machine with what its meters showed as it left and as it came, and lists the change of a price until it is read', async () => {
    const { operator } = running.api;
    const office = operator.as('owner');
    const [from, to] = [await makeRunningSite(office), await makeRunningSite(office)];
    const { meterId } = await fitBoard(office, from.machine.id, { fittedAt: `${before.day(2)}T18:00:00Z`, meters: [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '100' })] });
    const owner = await running.visit({ device: 'desk' });
    const { page } = owner;
    const dialog = page.getByRole('dialog');
    await page.goto(`/operators/${operator.code}/machines/${from.machine.id}`);
    await signIn(owner, office);
    await page.getByRole('button', { name: 'Move it', exact: true }).click();
    await dialog.getByLabel('Site', { exact: true }).selectOption(to.site.id);
    await dialog.getByLabel('Day of the move').fill(before.day(5));
    const left = dialog.getByRole('group', { name: 'What its meters show as it is taken away' });
    const came = dialog.getByRole('group', { name: 'What its meters show as it comes to the new place' });
    await left.getByLabel('Read at').fill('10:00');
    await left.getByLabel('Plays', { exact: true }).fill('150');
    await came.getByLabel('Read at').fill('15:00');
    await came.getByLabel('Plays', { exact: true }).fill('15x');
    await dialog.getByRole('button', { name: 'Move it', exact: true }).click();
    await dialog.getByRole('link', { name: 'Enter the digits that the meter shows' }).click();
    expect(await owner.look('move-with-readings')).toEqual([]);
    await came.getByLabel('Plays', { exact: true }).fill('153');
    await dialog.getByRole('button', { name: 'Move it', exact: true }).click();
    await dialog.waitFor({ state: 'detached' });
    const readings = async () => ((await office.get(`/v1/machines/${from.machine.id}/meter-readings?from=${before.day(1)}T00:00:00Z`).expect(200)).body as MeterReadings).items.map(({ occasion, value }) => [occasion, value]);
    expect(await readings()).toEqual([['board-fitted', '00100'], ['removal', '00150'], ['placement', '00153']]);

    // A price that changed with nobody there to read: it holds, and its readings are asked for at that very moment.
    const changedAt = `${before.day(9)}T18:00:30Z`;
    await office.post(`/v1/machines/${from.machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: changedAt, newUnitValues: [{ meterId, unitValue: usd('1.00') }] }).expect(201);
    await page.reload();
    const task = page.getByText(/^Change of price, .*: readings of Plays are missing\./);
    await task.waitFor();
    await page.getByRole('button', { name: /^Enter readings, or why not Change of price/ }).click();
    await dialog.getByText('The price is recorded. Enter what the meters showed as it changed.').waitFor();
    expect(await owner.look('price-change-read')).toEqual([]);
    await dialog.getByLabel('Showed', { exact: true }).fill('160');
    await dialog.getByRole('button', { name: 'Record readings', exact: true }).click();
    await task.waitFor({ state: 'detached' });
    expect((await readings()).at(-1)).toEqual(['price-change', '00160']);
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  });

  it('says in words which of two counters and the count stands alone, on the page of the collection', async () => {
    const { operator } = running.api;
    const office = operator.as('owner');
    const { site, machine } = await makeRunningSite(office);
    const electronic = meterFields({ label: 'A electronic', value: '100' });
    const { meterIds } = await fitBoard(office, machine.id, { fittedAt: `${before.day(2)}T18:00:00Z`, meters: [electronic, { ...electronic, label: 'B mechanical', secondOfLabel: 'A electronic' }] });
    const readings = ['500', '260'].map((value, index) => ({ meterId: meterIds[index], value }));
    const counts = [{ machineTag: machine['tag'], coin: usd('100.00'), note: usd('0.00'), readings }];
    const made = await office.post('/v1/collections', { siteId: site.id, happenedAt: `${before.day(9)}T18:00:00Z`, counts }).expect(201);
    await office.post(`/v1/collections/${String(made.body.id)}/accept`).expect(200);
    const reviewer = await running.visit({ device: 'phone' });
    const { page } = reviewer;
    await page.goto(`/operators/${operator.code}/collections/${String(made.body.id)}`);
    await signIn(reviewer, operator.as('reviewer'));
    await page.getByText('$100.00 by the first counter, $40.00 by the second: $60.00 apart. The first counter agrees with the count, and the second does not.').waitFor();
    expect(await reviewer.look('collection-three-ways')).toEqual([]);
    expect(reviewer.complaints).toEqual([]);
    await reviewer.context.close();
  });

  it('names the box that holds a review and the way to its count; the owner lets it pass with a reason, and a bookkeeper does not', async () => {
    const { api } = running;
    const { operator } = api;
    const office = operator.as('owner');
    const [from, to] = [await makeRunningSite(office, { site: { name: 'Harbour Billiards' } }), await makeRunningSite(office)];
    await goByMeters(office, from);
    await makeAcceptedCollection(office, from.site, [count(from.machine, '100.00', '0.00', { meteredAmount: usd('100.00') })], { happenedAt: `${last.day(8)}T18:00:00Z` });
    await office.post(`/v1/placements/${from.placement.id}/move`, { siteId: to.site.id, movedOn: last.day(12) }).expect(201);
    const lane = await makeRunningSite(office, { site: { name: 'Lane Bar' } });
    await goByMeters(office, lane);
    const { meterId } = await fitBoard(office, lane.machine.id, { fittedAt: `${last.day(2)}T18:00:00Z`, meters: [meterFields({ value: '0' })] });
    const box = await makeAcceptedCollection(office, lane.site, [count(lane.machine, '75.00', '0.00', { readings: [{ meterId, value: '300' }] })], { happenedAt: `${last.day(20)}T18:00:00Z` });
    await office.post('/v1/closes', { cycle: 'month', startsOn: last.startsOn }).expect(202);
    const stored = (): Promise<Settlement> => settlementOf(api, { siteId: from.site.id, startsOn: last.startsOn });
    await soon(async () => void (await stored()));
    const [tag, name] = [from.machine['tag'] as string, from.site['name'] as string];
    const sentence = new RegExp(`^Machine ${tag} left site .* on 12 ${last.title}, and nobody counted what was in its box`);

    const bookkeeper = await running.visit({ device: 'desk' });
    const list = bookkeeper.page;
    await list.goto(`/operators/${operator.code}`);
    await signIn(bookkeeper, operator.as('bookkeeper'));
    const row = list.getByRole('row').filter({ hasText: name });
    await row.getByRole('button', { name: /^Mark reviewed / }).click();
    await row.getByText('A machine left, and nobody counted what was in its box. Open the settlement and review it there: it says which.').waitFor();
    await row.getByRole('link', { name: `Open the settlement ${name}` }).click();
    await list.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).click();
    await list.getByText(sentence).waitFor();
    const toCount = list.getByRole('link', { name: `Enter the count of ${tag}` });
    expect([await toCount.getAttribute('href'), await list.getByRole('button', { name: 'Let it pass' }).count()]).toEqual([expect.stringMatching(new RegExp(`/machines/${from.machine.id}$`)), 0]);
    expect(bookkeeper.complaints).toEqual([]);
    await bookkeeper.context.close();

    const owner = await running.visit({ device: 'desk' });
    const { page } = owner;
    const dialog = page.getByRole('dialog');
    await page.goto(`/operators/${operator.code}/settlements/${(await stored()).id}`);
    await signIn(owner, office);
    await page.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).click();
    await page.getByRole('button', { name: 'Let it pass' }).click();
    await dialog.getByRole('listitem').getByText(sentence).waitFor();
    await dialog.getByLabel('Reason').fill('The box was stolen on the way');
    expect(await owner.look('review-let-pass')).toEqual([]);
    await dialog.getByRole('button', { name: 'Let it pass' }).click();
    await dialog.waitFor({ state: 'detached' });
    await page.getByRole('listitem').filter({ hasText: /Let pass with a reason by .*The box was stolen on the way/ }).waitFor();
    await page.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).click();
    // It goes on to the draft of the other site, if that comes after this one.
    await page.getByRole('button', { name: 'Reopen', exact: true }).or(page.getByRole('heading', { name: 'Lane Bar', level: 1 })).first().waitFor();
    expect((await stored()).state).toBe('reviewed');

    // A price had changed with nobody there to read: the refusal leads to the reading that is missing, and to who says it instead.
    await office.post(`/v1/machines/${lane.machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: `${last.day(10)}T18:00:00Z`, newUnitValues: [{ meterId, unitValue: usd('0.50') }] }).expect(201);
    const ofLane = await settlementOf(api, { siteId: lane.site.id, startsOn: last.startsOn });
    await page.goto(`/operators/${operator.code}/settlements/${ofLane.id}`);
    await page.getByRole('button', { name: /^Mark reviewed(, and on)?$/ }).click();
    const laneTag = String(lane.machine['tag']);
    const ways = [page.getByRole('link', { name: `Say what the meters of ${laneTag} imply` }), page.getByRole('link', { name: `Enter or correct readings of ${laneTag}` })];
    expect(await Promise.all(ways.map((way) => way.getAttribute('href')))).toEqual([expect.stringMatching(new RegExp(`/collections/${box.id}$`)), expect.stringMatching(new RegExp(`/machines/${lane.machine.id}$`))]);
    expect(await owner.look('review-untold-box')).toEqual([]);
    expect(owner.complaints).toEqual([]);
    await owner.context.close();
  });
});
