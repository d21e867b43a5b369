import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, moment, usd, visit } from '#tests/support/collecting';
import { errorsOf, makeMachine, makeParty, makePerson, makePlacement, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const collected = (site: Made, counts: object[], more: object = {}) => makeCollection(office, site, counts, more);
const accepted = (site: Made, counts: object[], more: object = {}) => makeAcceptedCollection(office, site, counts, more);

describe('a collection', () => {
  it('is recorded with its counts, slips and what was handed out, and shows exactly that', async () => {
    const { site, party, machine, placement } = await makeRunningSite(office);
    const second = await makeMachine(office);
    const { id: secondPlacement } = await makePlacement(office, { machineId: second.id, siteId: site.id });
    const collector = await makePerson(office);
    const id = randomUUID();
    const body = {
      id,
      siteId: site.id,
      happenedAt: '2026-03-10T17:30:00-05:00',
      collectedBy: collector.id,
      counts: [count(machine), { placementId: secondPlacement, coin: usd('5.00'), note: usd('0.00') }],
      refunds: [{ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('2.50') }],
      cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Dana at the bar' }],
    };
    const made = await office.post('/v1/collections', body).expect(201);
    expect(made.body).toMatchObject({
      id, state: 'counted', siteCode: site['code'], happenedAt: '2026-03-10T22:30:00.000Z', localDate: '2026-03-10', accountingDate: '2026-03-10',
      counted: usd('165.50'), countedMachines: 2, refunds: usd('2.50'), handed: usd('20.00'), acceptedAt: null, collectedBy: collector.id,
      refundSlips: [{ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('2.50'), paidBy: 'site' }],
      cashHanded: [{ partyId: party.id, amount: usd('20.00'), acknowledgedBy: 'Dana at the bar' }],
    });
    expect(made.body.counts).toEqual(
      expect.arrayContaining([
        expect.objectContaining({ placementId: placement.id, machineTag: machine['tag'], coin: usd('120.50'), note: usd('40.00'), part: 1, removal: false, replacesId: null, replacedById: null }),
        expect.objectContaining({ placementId: secondPlacement, coin: usd('5.00') }),
      ]),
    );
    expect((await office.get(`/v1/collections/${id}`).expect(200)).body).toEqual(made.body);
  });

  it('may be open until it is counted, once', async () => {
    const { site, machine } = await makeRunningSite(office);
    const open = (await office.post('/v1/collections', visit(site, [])).expect(201)).body as Made;
    expect(open).toMatchObject({ state: 'open', counted: usd('0.00'), counts: [] });
    expect((await office.post(`/v1/collections/${open.id}/accept`).expect(403)).body.code).toBe('not-allowed-in-state');
    const counted = await office.post(`/v1/collections/${open.id}/counts`, { counts: [count(machine)] }).expect(200);
    expect(counted.body).toMatchObject({ state: 'counted', counted: usd('160.50'), revision: 2 });
    const again = (await office.post(`/v1/collections/${open.id}/counts`, { counts: [count(machine)] }).expect(409)).body as { code: string; errors: { code: string }[] };
    expect([again.code, again.errors.map(({ code }) => code)]).toEqual(['already-exists', ['counted-twice']]);
  });

  it('is not entered twice, whatever its id', async () => {
    const { site, machine } = await makeRunningSite(office);
    const body = visit(site, [count(machine)]);
    await office.post('/v1/collections', body).expect(201);
    expect(errorsOf(await office.post('/v1/collections', body).expect(409))).toEqual(['#/happenedAt taken']);
    const other = visit(site, [count(machine)]);
    const answers = await Promise.all([1, 2, 3].map(() => office.post('/v1/collections', other)));
    expect(answers.map((answer) => answer.status).sort()).toEqual([201, 409, 409]);
  });

  it('of a removal belongs to the site that is left, another one of that day to the new site', async () => {
    const { site: here, machine, placement } = await makeRunningSite(office);
    const { site: there } = await makeRunningSite(office);
    const early = await office.post('/v1/collections', visit(here, [count(machine, '1.00', '0.00', { removal: true })])).expect(422);
    expect(errorsOf(early)).toEqual(['#/counts/0/machineTag no-removal-that-day']);
    const moved = await office.post(`/v1/placements/${placement.id}/move`, { siteId: there.id, movedOn: '2026-03-10' }).expect(201);

    const removal = await collected(here, [count(machine, '1.00', '0.00', { removal: true })]);
    expect(removal.counts[0]).toMatchObject({ placementId: placement.id, removal: true });
    const plain = await office.post('/v1/collections', visit(here, [count(machine)])).expect(422);
    expect(errorsOf(plain)).toEqual(['#/counts/0/machineTag not-placed-here']);
    expect(plain.body.errors[0].message).toContain(there['code']);
    const first = await collected(there, [count(machine, '0.00', '0.00')]);
    expect(first.counts[0]).toMatchObject({ placementId: moved.body.begun.id });
    // What was counted holds the days of the placement.
    const back = await office.patch(`/v1/placements/${placement.id}`, { removedOn: '2026-03-09' }).set('If-Match', '"2"').expect(422);
    expect(errorsOf(back)).toEqual(['#/removedOn removal-counted']);
  });

  it('holds the end of a placement after its last count', async () => {
    const { site, machine, placement } = await makeRunningSite(office);
    await collected(site, [count(machine)]);
    for (const removedOn of ['2026-03-09', '2026-03-10']) {
      expect(errorsOf(await office.post(`/v1/placements/${placement.id}/end`, { removedOn }).expect(422))).toEqual(['#/removedOn counted-later']);
    }
    await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2026-03-11' }).expect(200);
  });

  it('is dated by the calendar of the site, in the hour that daylight saving repeats, too', async () => {
    // Time zone database: Havana goes back from 01:00 to 00:00 on 2 November 2025.
    const { site, machine } = await makeRunningSite(office, { site: { timeZone: 'America/Havana' } });
    const dates: string[] = [];
    for (const happenedAt of ['2025-11-01T23:30:00-04:00', '2025-11-02T00:30:00-04:00', '2025-11-02T00:30:00-05:00']) {
      dates.push((await collected(site, [count(machine)], { happenedAt }))['localDate'] as string);
    }
    expect(dates).toEqual(['2025-11-01', '2025-11-02', '2025-11-02']);
    const again = await office.post('/v1/collections', { siteId: site.id, happenedAt: '2025-11-02T05:30:00Z', counts: [count(machine)] }).expect(409);
    expect(errorsOf(again)).toEqual(['#/happenedAt taken']);
  });

  it('is booked to another day with a reason, by the office only', async () => {
    const { site, machine } = await makeRunningSite(office);
    const body = { siteId: site.id, happenedAt: '2026-02-02T10:00:00-06:00', accountingDate: '2026-01-31', accountingReason: 'Round of January', counts: [count(machine)] };
    const { accountingReason: _reason, ...unexplained } = body;
    expect(errorsOf(await office.post('/v1/collections', unexplained).expect(422))).toEqual(['#/accountingReason missing']);
    expect((await api.operator.as('collector').post('/v1/collections', body).expect(403)).body.code).toBe('not-allowed');
    expect((await office.post('/v1/collections', body).expect(201)).body).toMatchObject({ localDate: '2026-02-02', accountingDate: '2026-01-31', accountingReason: 'Round of January' });
  });

  it('needs an agreement on the day to which it is booked', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2026-03-10' }).expect(200);
    const answer = await office.post('/v1/collections', visit(site, [count(machine)])).expect(422);
    expect(answer.body.code).toBe('no-agreement');
    expect(errorsOf(answer)).toEqual(['#/accountingDate no-agreement']);
    await office.post('/v1/collections', visit(site, [count(machine)], { accountingDate: '2026-03-09', accountingReason: 'Last day of the agreement' })).expect(201);
  });
});

describe('bad input', () => {
  let site: Made;
  let machine: Made;
  beforeAll(async () => {
    ({ site, machine } = await makeRunningSite(office));
  });

  it.each<[string, () => object, string]>([
    ['a negative count', () => count(machine, '-1.00'), '#/counts/0/coin/amount negative'],
    ['too many digits for the currency', () => count(machine, '1.005'), '#/counts/0/coin/amount wrong-digits'],
    ['too few digits for the currency', () => count(machine, '1'), '#/counts/0/coin/amount wrong-digits'],
    ['an amount beyond any box', () => count(machine, '10000000000000000.00'), '#/counts/0/coin/amount too-large'],
    ['no number', () => count(machine, 'many'), '#/counts/0/coin/amount not-a-number'],
    ['a decimal comma', () => count(machine, '1,50'), '#/counts/0/coin/amount not-a-number'],
    ['an unknown currency', () => ({ ...count(machine), coin: { amount: '1.00', currency: 'QQQ' } }), '#/counts/0/coin/currency not-valid'],
    ['neither machine nor placement', () => ({ coin: usd('1.00'), note: usd('0.00') }), '#/counts/0/machineTag one-of-two'],
    ['part 0', () => count(machine, '1.00', '0.00', { part: 0 }), '#/counts/0/part too-small'],
    ['a field of its own', () => count(machine, '1.00', '0.00', { expected: '2.00' }), '#/counts/0/expected unknown-field'],
  ])('is not read: %s', async (_case, entry, expected) => {
    expect(errorsOf(await office.post('/v1/collections', visit(site, [entry()])).expect(400))).toEqual([expected]);
  });

  it('names a count in another currency than the site\'s', async () => {
    const eur = { amount: '5.00', currency: 'EUR' };
    const answer = await office
      .post('/v1/collections', visit(site, [{ ...count(machine), note: eur }], { refunds: [{ machineTag: machine['tag'], refundedOn: '2026-03-01', amount: eur }], cashHanded: [{ amount: eur }] }))
      .expect(422);
    expect(errorsOf(answer)).toEqual(['#/counts/0/note/currency other-currency', '#/refunds/0/amount/currency other-currency', '#/cashHanded/0/amount/currency other-currency']);
  });

  it('names unknown machines, and machines that stand elsewhere, all at once', async () => {
    const elsewhere = await makeRunningSite(office);
    const inShop = await makeMachine(office);
    const theirs = await makeRunningSite(api.other.as('owner'));
    const answer = await office
      .post('/v1/collections', visit(site, [count(machine), { ...count(machine), machineTag: 'M-NOWHERE' }, count(elsewhere.machine), count(inShop), { placementId: theirs.placement.id, coin: usd('1.00'), note: usd('0.00') }]))
      .expect(422);
    expect(errorsOf(answer)).toEqual([
      '#/counts/1/machineTag unknown-machine', '#/counts/2/machineTag not-placed-here', '#/counts/3/machineTag not-placed-here', '#/counts/4/placementId unknown',
    ]);
    expect(answer.body.errors[1].message).toContain(elsewhere.site['code']);
  });

  it('refuses one box twice, and takes its numbered parts', async () => {
    const twice = await office.post('/v1/collections', visit(site, [count(machine), count(machine, '3.00')])).expect(422);
    expect(errorsOf(twice)).toEqual(['#/counts/1/machineTag counted-twice']);
    const parts = await collected(site, [count(machine), count(machine, '3.00', '0.00', { part: 2 })]);
    expect(parts).toMatchObject({ counted: usd('163.50'), countedMachines: 1 });
  });

  it('refuses a visit in the future, before the site opened, or in no year that there was', async () => {
    const at = async (happenedAt: string) => errorsOf(await office.post('/v1/collections', { siteId: site.id, happenedAt, counts: [count(machine)] }).expect(422));
    // The clock of the tests stands at 2026-03-31 12:00 UTC.
    expect(await at('2026-03-31T12:06:00Z')).toEqual(['#/happenedAt in-the-future']);
    expect(await at('2024-12-31T12:00:00Z')).toEqual(['#/happenedAt before-site-opened']);
    expect(await at('1024-12-31T12:00:00Z')).toEqual(['#/happenedAt out-of-range']);
    const without = await office.post('/v1/collections', { siteId: site.id, happenedAt: '2026-03-10T10:00:00', counts: [] }).expect(400);
    expect(errorsOf(without)).toEqual(['#/happenedAt wrong-format']);
  });

  it('refuses slips from after the visit, for machines that were not there, or of nothing', async () => {
    const slip = (fields: object) => ({ machineTag: machine['tag'], refundedOn: '2026-03-01', amount: usd('2.00'), ...fields });
    const answer = await office
      .post('/v1/collections', visit(site, [count(machine)], { refunds: [slip({ refundedOn: '2026-03-11' }), slip({ machineTag: 'M-NOWHERE' }), slip({ refundedOn: '2024-12-31' })] }))
      .expect(422);
    expect(errorsOf(answer)).toEqual(['#/refunds/0/refundedOn after-visit', '#/refunds/1/machineTag unknown-machine', '#/refunds/2/machineTag not-placed-here']);
    const nothing = await office.post('/v1/collections', visit(site, [count(machine)], { refunds: [slip({ amount: usd('0.00') })] })).expect(400);
    expect(errorsOf(nothing)).toEqual(['#/refunds/0/amount/amount not-positive']);
  });

  it('refuses more handed out than was in the boxes, and hand-outs to strangers', async () => {
    const more = await office.post('/v1/collections', visit(site, [count(machine, '10.00', '0.00')], { cashHanded: [{ amount: usd('6.00') }, { amount: usd('4.01') }] })).expect(422);
    expect(errorsOf(more)).toEqual(['#/cashHanded more-than-counted']);
    const stranger = await makeParty(office);
    const answer = await office.post('/v1/collections', visit(site, [count(machine)], { cashHanded: [{ amount: usd('6.00'), partyId: stranger.id }] })).expect(422);
    expect(errorsOf(answer)).toEqual(['#/cashHanded/0/partyId not-of-agreement']);
  });

  it('refuses people and sites that there are not', async () => {
    expect(errorsOf(await office.post('/v1/collections', visit(site, [count(machine)], { collectedBy: randomUUID() })).expect(422))).toEqual(['#/collectedBy unknown']);
    const theirs = await makeSite(api.other.as('owner'));
    expect(errorsOf(await office.post('/v1/collections', visit(theirs, [])).expect(422))).toEqual(['#/siteId unknown']);
  });
});

describe('who sees collections', () => {
  it('site managers: their own site\'s, once accepted', async () => {
    const { site, machine } = await makeRunningSite(office, { site: { id: api.operator.siteId } });
    const elsewhere = await makeRunningSite(office);
    const open = await collected(site, [count(machine)]);
    const done = await accepted(site, [count(machine)]);
    const there = await accepted(elsewhere.site, [count(elsewhere.machine)]);
    const manager = api.operator.as('site-manager');
    await manager.get(`/v1/collections/${done.id}`).expect(200);
    await manager.get(`/v1/collections/${open.id}`).expect(404);
    await manager.get(`/v1/collections/${there.id}`).expect(404);
    expect((await manager.get('/v1/collections').expect(200)).body.items.map((row: Made) => row.id)).toEqual([done.id]);
    expect((await manager.post('/v1/collections', visit(site, [])).expect(403)).body.code).toBe('not-allowed');
  });

  it('nobody of another operator', async () => {
    const { site, machine } = await makeRunningSite(office);
    const made = await collected(site, [count(machine)]);
    const stranger = api.other.as('owner');
    await stranger.get(`/v1/collections/${made.id}`).expect(404);
    await stranger.post(`/v1/collections/${made.id}/accept`).expect(404);
    await stranger.post(`/v1/collections/${made.id}/counts`, { counts: [count(machine)] }).expect(404);
    await stranger.post('/v1/collections/accept', { collectionIds: [made.id] }).expect(404);
  });

  it('everybody in pages, the latest visit first, by site, state and days', async () => {
    const { site, machine } = await makeRunningSite(office);
    const days = ['2026-02-03', '2026-02-10', '2026-02-17'];
    const ids: string[] = [];
    for (const day of days) ids.push((await collected(site, [count(machine)], { happenedAt: moment(day) })).id);
    const first = await office.get(`/v1/collections?siteId=${site.id}&limit=2`).expect(200);
    expect(first.body.items.map((row: Made) => row.id)).toEqual([ids[2], ids[1]]);
    const second = await office.get(`/v1/collections?siteId=${site.id}&limit=2&cursor=${first.body.next}`).expect(200);
    expect(second.body).toMatchObject({ items: [{ id: ids[0], counted: usd('160.50'), state: 'counted' }], next: null });
    const some = await office.get(`/v1/collections?siteId=${site.id}&from=2026-02-10&before=2026-02-17&state=counted`).expect(200);
    expect(some.body.items.map((row: Made) => row.id)).toEqual([ids[1]]);
    expect((await office.get(`/v1/collections?siteId=${site.id}&state=accepted`).expect(200)).body.items).toEqual([]);
  });
});
