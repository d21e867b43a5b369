import type { Agreement } from '#contracts/agreement';
import type { LateChange, Settlement, SettlementRow } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, failuresOf, issueMonth } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, etag, makeAgreement, makeParty, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

const [MARCH, APRIL, MAY] = ['2026-03-01', '2026-04-01', '2026-05-01'] as const;
type Running = Awaited<ReturnType<typeof makeRunningSite>>;

let api: TestApi;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-06-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
});

const collect = ({ site, machine }: Running, day: string, coin: string, more: object = {}) =>
  makeAcceptedCollection(office, site, [count(machine, coin, '0.00')], { happenedAt: moment(day), ...more });

async function issue(startsOn: string): Promise<string[]> {
  return failuresOf(await issueMonth(api, (await closeMonth(api, startsOn)).id));
}

/** The settlements of a site's period, by agreement. */
async function settlementsOf(siteId: string, startsOn: string): Promise<ReadonlyMap<string, Settlement>> {
  const { items } = (await office.get(`/v1/settlements?siteId=${siteId}&startsOn=${startsOn}`).expect(200)).body as { items: SettlementRow[] };
  const bodies = await Promise.all(items.map(async (row) => (await office.get(`/v1/settlements/${row.id}`).expect(200)).body as Settlement));
  return new Map(bodies.map((body) => [body.agreementId, body]));
}

async function end(agreement: Made, endedOn: string) {
  const { revision } = (await office.get(`/v1/agreements/${agreement.id}`).expect(200)).body as Agreement;
  return office.post(`/v1/agreements/${agreement.id}/end`, { endedOn }).set('If-Match', etag({ revision }));
}

describe('an agreement that ends within a period that has its number', () => {
  async function smallPayouts(): Promise<Running> {
    const running = await makeRunningSite(office);
    const terms = { ...plainTerms({ partyId: running.party.id }), payout: { smallest: '50.00', negative: 'carry', smallestCoin: null } };
    await office.post(`/v1/agreements/${running.agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms, reason: 'Small sums wait' }).set('If-Match', '"1"').expect(201);
    await collect(running, '2026-03-10', '100.00');
    expect(await issue(MARCH)).toEqual([]);
    return running;
  }

  it('is settled finally in the next period: what was carried is paid out', async () => {
    const running = await smallPayouts();
    const { site, agreement } = running;
    expect((await settlementsOf(site.id, MARCH)).get(agreement.id)).toMatchObject({ kind: 'regular', totals: { payable: usd('40.00') } });
    expect((await end(agreement, '2026-03-20')).status).toBe(200);
    const { items } = (await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] };
    expect(items.map((change) => [change.startsOn, change.cause, change.agreementId])).toEqual([[MARCH, 'end', agreement.id]]);

    expect(await issue(APRIL)).toEqual([]);
    const final = (await settlementsOf(site.id, APRIL)).get(agreement.id);
    expect(final).toMatchObject({ kind: 'final', state: 'issued', totals: { takings: usd('0.00'), earlier: usd('0.00'), payable: usd('40.00') } });
    expect(final?.lines.find((line) => line.kind === 'payee-carried-in')).toMatchObject({ amount: usd('40.00') });
    await office.get(`/v1/settlements/${final?.id ?? ''}/statement`).expect(200);

    // The end stands from then on, and only what turns up later is settled.
    const { revision } = (await office.get(`/v1/agreements/${agreement.id}`).expect(200)).body as Agreement;
    const undone = await office.patch(`/v1/agreements/${agreement.id}`, { endedOn: null }).set('If-Match', etag({ revision })).expect(422);
    expect(errorsOf(undone)).toEqual(['#/endedOn settled-finally']);
    await collect(running, '2026-03-12', '10.00');
    expect(await issue(MAY)).toEqual([]);
    expect((await settlementsOf(site.id, MAY)).get(agreement.id)).toMatchObject({ kind: 'supplementary', totals: { earlier: usd('4.00'), payable: usd('4.00') } });
  });

  it('may end, go on after all, and end again before that', async () => {
    const { agreement, site } = await smallPayouts();
    expect((await end(agreement, '2026-03-20')).status).toBe(200);
    const { revision } = (await office.get(`/v1/agreements/${agreement.id}`).expect(200)).body as Agreement;
    await office.patch(`/v1/agreements/${agreement.id}`, { endedOn: null }).set('If-Match', etag({ revision })).expect(200);
    expect((await end(agreement, '2026-04-01')).status).toBe(200);
    expect(await issue(APRIL)).toEqual([]);
    expect((await settlementsOf(site.id, APRIL)).get(agreement.id)).toMatchObject({ kind: 'final', totals: { payable: usd('40.00') } });
  });
});

describe('an agreement that ends anew, after it went on and that was settled', () => {
  it('changes each numbered period that it reaches, also one that an earlier end had changed', async () => {
    const running = await makeRunningSite(office);
    const { agreement } = running;
    await collect(running, '2026-03-10', '100.00');
    expect(await issue(MARCH)).toEqual([]);
    expect((await end(agreement, '2026-03-20')).status).toBe(200);
    const { revision } = (await office.get(`/v1/agreements/${agreement.id}`).expect(200)).body as Agreement;
    await office.patch(`/v1/agreements/${agreement.id}`, { endedOn: null }).set('If-Match', etag({ revision })).expect(200);
    expect(await issue(APRIL)).toEqual([]);
    const waiting = async () => ((await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] }).items.map(({ startsOn, cause }) => [startsOn, cause]);
    expect(await waiting()).toEqual([]);
    expect((await end(agreement, '2026-03-25')).status).toBe(200);
    expect(await waiting()).toEqual([[MARCH, 'end'], [APRIL, 'end']]);
  });
});

describe('a site that is sold in mid-period', () => {
  async function sold(): Promise<{ running: Running; buyer: Made; next: Made }> {
    const running = await makeRunningSite(office);
    const { site, agreement } = running;
    await collect(running, '2026-03-05', '80.00');
    // The boxes are emptied for the seller on the last day.
    await collect(running, '2026-03-14', '20.00', { cashHanded: [{ amount: usd('5.00'), acknowledgedBy: 'The seller' }] });
    expect((await end(agreement, '2026-03-15')).status).toBe(200);
    const buyer = await makeParty(office, { name: 'Harbour Evenings' });
    const terms = plainTerms({ partyId: buyer.id, operatorPercent: '50', sitePercent: '50' });
    const fields = { siteId: site.id, partyId: buyer.id, startedOn: '2026-03-15', terms };
    return { running, buyer, next: await makeAgreement(office, fields) };
  }

  it('is settled with both, each for the days and by the terms of their own', async () => {
    const { running, buyer, next } = await sold();
    const { site, party, agreement, machine } = running;
    await collect(running, '2026-03-25', '60.00', { cashHanded: [{ amount: usd('10.00'), acknowledgedBy: 'The buyer' }] });
    await office.post('/v1/cashless-takings', { reports: [{ id: '0197a000-0000-7000-8000-00000000c001', machineTag: machine['tag'], localDate: '2026-03-14', gross: usd('10.00') }, { id: '0197a000-0000-7000-8000-00000000c002', machineTag: machine['tag'], localDate: '2026-03-15', gross: usd('4.00') }] }).expect(201);
    expect(await issue(MARCH)).toEqual([]);

    const march = await settlementsOf(site.id, MARCH);
    expect([...march.keys()].sort()).toEqual([agreement.id, next.id].sort());
    // 100.00 of cash and 10.00 by card to the seller's account, 40 percent, less 5.00; 64.00 to the buyer's, half, less 10.00.
    expect(march.get(agreement.id)).toMatchObject({ kind: 'final', state: 'issued', totals: { takings: usd('110.00'), siteShare: usd('44.00'), payable: usd('39.00') } });
    expect(march.get(next.id)).toMatchObject({ kind: 'regular', state: 'issued', totals: { takings: usd('64.00'), siteShare: usd('32.00'), payable: usd('22.00') } });
    for (const [agreementId, payee] of [[agreement.id, party], [next.id, buyer]] as const) {
      const payables = march.get(agreementId)?.lines.filter((line) => line.kind === 'payable');
      expect(payables?.map((line) => line.party)).toEqual([payee['name']]);
      await office.get(`/v1/settlements/${march.get(agreementId)?.id ?? ''}/statement`).expect(200);
    }
  });

  it('takes what turns up for the seller into a supplementary settlement, whatever the buyer collects meanwhile', async () => {
    const { running, next } = await sold();
    const { site, agreement } = running;
    await collect(running, '2026-03-25', '60.00');
    expect(await issue(MARCH)).toEqual([]);
    await collect(running, '2026-04-10', '30.00');
    expect(await issue(APRIL)).toEqual([]);
    expect([...(await settlementsOf(site.id, APRIL)).keys()]).toEqual([next.id]);
    await collect(running, '2026-03-12', '50.00');
    await collect(running, '2026-05-10', '40.00');
    expect(await issue(MAY)).toEqual([]);
    const may = await settlementsOf(site.id, MAY);
    expect(may.get(agreement.id)).toMatchObject({ kind: 'supplementary', totals: { takings: usd('0.00'), earlier: usd('20.00'), payable: usd('20.00') } });
    expect(may.get(next.id)).toMatchObject({ kind: 'regular', totals: { takings: usd('40.00'), earlier: usd('0.00'), siteShare: usd('20.00') } });
  });

  it('settles the seller while the buyer\'s collection still waits', async () => {
    const { running, next } = await sold();
    await makeCollection(office, running.site, [count(running.machine, '60.00', '0.00')], { happenedAt: moment('2026-03-25') });
    expect(await issue(MARCH)).toEqual([`${running.site['code'] as string} collections-not-accepted`]);
    const march = await settlementsOf(running.site.id, MARCH);
    expect(march.get(running.agreement.id)).toMatchObject({ kind: 'final', state: 'issued' });
    expect(march.has(next.id)).toBe(false);
  });
});
