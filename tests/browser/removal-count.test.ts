import type { Collection } from '#contracts/collection';
import { describeWithProgram } from '#tests/support/outside-program';
import { goByMeters, makeRunningSite } from '#tests/support/set-up';
import { months, startWorking } from './support/books';
import { startConsole, signIn, type RunningConsole } from './support/console';

const { before } = months;

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
  });
});
