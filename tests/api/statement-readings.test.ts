/** What meters showed, beside the counts that a statement is made of. */
import type { StatementAttachment } from '#contracts/statement-attachment';
import { attachedFigures } from '#statement/attached-figures';
import { holdsWhole, verifyStatement } from '#statement/verify/verify-statement';
import { startTestApi, type TestApi } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
});
afterAll(() => api?.close());

it('says of each meter the last reading of the period and the one before the first, and nothing of a machine whose meters nobody read', async () => {
  const office = api.operator.as('bookkeeper');
  const bar = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, bar.machine.id, { fittedAt: moment('2026-03-20'), meters: [meterFields({ value: '100' })] });
  const visit = (day: string, cash: string, value?: string) =>
    makeAcceptedCollection(office, bar.site, [count(bar.machine, cash, '0.00', value === undefined ? {} : { readings: [{ meterId, value }] })], { happenedAt: moment(day) });
  await visit('2026-03-30', '25.00', '200');
  await visit('2026-04-10', '10.00', '240');
  await visit('2026-04-20', '15.00');
  await visit('2026-04-29', '25.00', '400');
  const pages: StatementAttachment['page'][] = [];
  for (const startsOn of ['2026-03-01', '2026-04-01']) {
    await issueMonth(api, (await closeMonth(api, startsOn)).id);
    const { id } = await settlementOf(api, { siteId: bar.site.id, startsOn });
    const file = (await office.get(`/v1/settlements/${id}/statement`).expect(200)).body as Buffer;
    expect(holdsWhole(await verifyStatement(file))).toBe(true);
    pages.push(((await attachedFigures(file)) as unknown as StatementAttachment).page);
  }
  const reading = { machineId: bar.machine.id, meter: 'Coins' };
  expect(pages.map(({ readings, notRead }) => ({ readings, notRead }))).toEqual([
    { readings: [{ ...reading, beforeValue: '100', lastValue: '200', readOn: '2026-03-30' }], notRead: undefined },
    // Once in April nobody read it.
    { readings: [{ ...reading, beforeValue: '200', lastValue: '400', readOn: '2026-04-29' }], notRead: [bar.machine.id] },
  ]);
});
