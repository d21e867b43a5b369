import { randomUUID } from 'node:crypto';
import type { Close } from '#contracts/close';
import type { LateChange } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { failuresOf, issueMonth, readClose, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, makeAgreement, makeMachine, makeParty, makePlacement, makeRunningSite, makeSite, plainTerms, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
});

const byVisit = (partyId: string, more: object = {}): object => ({ ...plainTerms({ partyId, cycle: { kind: 'visit' } }), cashless: 'by-collection', ...more });

/** A site that is settled at each visit, with a fee per visit. */
async function visitedSite(): Promise<{ site: Made; machine: Made; party: Made; agreement: Made }> {
  const site = await makeSite(office);
  const [party, machine] = [await makeParty(office), await makeMachine(office)];
  await makePlacement(office, { machineId: machine.id, siteId: site.id });
  const charges = [{ id: 'call-out', title: 'Call-out', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'visit', amount: '10.00' }, rest: 'lapse' }];
  const fields = { siteId: site.id, partyId: party.id, terms: byVisit(party.id, { charges }) };
  return { site, machine, party, agreement: await makeAgreement(office, fields) };
}

const collect = ({ site, machine }: { site: Made; machine: Made }, day: string, coin: string, more: object = {}) =>
  makeAcceptedCollection(office, site, [count(machine, coin, '0.00')], { happenedAt: moment(day), ...more });

async function closeDay(startsOn: string): Promise<Close> {
  const { id } = (await office.post('/v1/closes', { cycle: 'visit', startsOn }).expect(202)).body as Close;
  await api.operator.work();
  return readClose(api, id);
}

const issueDay = async (startsOn: string): Promise<Close> => issueMonth(api, (await closeDay(startsOn)).id);
const settled = ({ site }: { site: Made }, startsOn: string) => settlementOf(api, { siteId: site.id, startsOn });

it('settles each visit by itself, through close, issue and statement', async () => {
  const visited = await visitedSite();
  const monthly = await makeRunningSite(office);
  await collect(visited, '2026-03-10', '100.00', { cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Kim at the bar' }] });
  await collect(visited, '2026-03-24', '60.00');
  await collect(monthly, '2026-03-10', '50.00');

  const periods = (await office.get('/v1/month-end/periods').expect(200)).body as { items: { cycle: string; startsOn: string; endsBefore: string; state: string }[] };
  expect(periods.items.filter((each) => each.cycle === 'visit')).toEqual([
    { cycle: 'visit', startsOn: '2026-03-24', endsBefore: '2026-03-25', state: 'over', closeId: null },
    { cycle: 'visit', startsOn: '2026-03-10', endsBefore: '2026-03-11', state: 'over', closeId: null },
  ]);
  const agreements = await office.get('/v1/month-end/agreements?cycle=visit&startsOn=2026-03-10').expect(200);
  expect(agreements.body).toMatchObject({ items: [{ siteCode: visited.site['code'], state: 'ready' }] });
  await office.get('/v1/month-end/agreements?cycle=visit&startsOn=2026-03-11').expect(404);

  const first = await issueDay('2026-03-10');
  expect(first).toMatchObject({ cycle: 'visit', startsOn: '2026-03-10', endsBefore: '2026-03-11', progress: { agreements: 1, issued: 1, failed: 0 } });
  // 100.00 - 10.00 for the visit, 40 percent, less what was handed over at the bar.
  const settlement = await settled(visited, '2026-03-10');
  expect(settlement).toMatchObject({ state: 'issued', totals: { takings: usd('100.00'), charges: usd('10.00'), siteShare: usd('36.00'), payable: usd('16.00') } });
  expect(settlement.sentences).toContain('Each visit is settled on its own.');
  const statement = await office.get(`/v1/settlements/${settlement.id}/statement`).expect(200);
  expect((statement.body as Buffer).subarray(0, 5).toString('latin1')).toBe('%PDF-');

  await issueDay('2026-03-24');
  expect((await settled(visited, '2026-03-24')).totals).toMatchObject({ takings: usd('60.00'), siteShare: usd('20.00'), payable: usd('20.00') });
  expect((await office.get('/v1/closes?cycle=visit').expect(200)).body).toMatchObject({ items: [{ startsOn: '2026-03-24' }, { startsOn: '2026-03-10' }] });
});

it('closes a day once, when it is over, and only where there was a visit', async () => {
  const visited = await visitedSite();
  await collect(visited, '2026-03-10', '100.00');
  expect((await office.post('/v1/closes', { cycle: 'visit', startsOn: '2026-03-11' }).expect(409)).body).toMatchObject({ code: 'nothing-to-close' });
  await closeDay('2026-03-10');
  expect((await office.post('/v1/closes', { cycle: 'visit', startsOn: '2026-03-10' }).expect(409)).body).toMatchObject({ code: 'period-already-closed' });
  await collect(visited, '2026-05-02', '10.00', { happenedAt: '2026-05-02T09:00:00-05:00' });
  expect((await office.post('/v1/closes', { cycle: 'visit', startsOn: '2026-05-02' }).expect(409)).body).toMatchObject({ code: 'period-not-over' });
});

it('settles visits in their order, and waits for one that is not accepted', async () => {
  const visited = await visitedSite();
  const waiting = await makeCollection(office, visited.site, [count(visited.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
  await collect(visited, '2026-03-24', '60.00');
  const first = await closeDay('2026-03-10');
  expect(failuresOf(first)).toEqual([`${visited.site['code'] as string} collections-not-accepted`]);
  await office.post(`/v1/collections/${waiting.id}/accept`).expect(200);
  expect(failuresOf(await closeDay('2026-03-24'))).toEqual([`${visited.site['code'] as string} earlier-takings-unsettled`]);
  await settleMissing(api, first.id);
  await issueMonth(api, first.id);
  expect((await settled(visited, '2026-03-10')).state).toBe('issued');
});

it('settles a visit that is entered late by difference, at the next visit', async () => {
  const visited = await visitedSite();
  await collect(visited, '2026-03-10', '100.00');
  await issueDay('2026-03-10');
  await collect(visited, '2026-03-24', '60.00');
  await issueDay('2026-03-24');
  await collect(visited, '2026-03-17', '30.00');
  expect(((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items).toMatchObject([{ startsOn: '2026-03-17', cause: 'collection' }]);
  await collect(visited, '2026-04-07', '50.00');
  await issueDay('2026-04-07');
  // (30.00 - 10.00) of the late visit and (50.00 - 10.00) of this one, 40 percent each.
  expect((await settled(visited, '2026-04-07')).totals).toMatchObject({ siteShare: usd('16.00'), earlier: usd('8.00'), payable: usd('24.00') });
});

it('books card takings with the visit', async () => {
  const visited = await visitedSite();
  const made = await collect(visited, '2026-03-10', '100.00');
  const report = { id: randomUUID(), machineTag: visited.machine['tag'], gross: usd('50.00') };
  expect(errorsOf(await office.post('/v1/cashless-takings', { reports: [{ ...report, localDate: '2026-03-10' }] }).expect(422))).toEqual(['#/reports/0/localDate booked-by-collection']);
  await office.post('/v1/cashless-takings', { reports: [{ ...report, collectionId: made.id }] }).expect(201);
  await issueDay('2026-03-10');
  expect((await settled(visited, '2026-03-10')).totals).toMatchObject({ takings: usd('150.00'), siteShare: usd('56.00') });
});
