import type { Settlement } from '#contracts/settlement';
import type { WhatIfAnswer, WhatIfAmounts } from '#contracts/what-if';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, etag, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

type Running = Awaited<ReturnType<typeof makeRunningSite>>;

const months = ['2026-02-01', '2026-03-01', '2026-04-01'];
const days = { startsOn: '2026-02-01', endsBefore: '2026-05-01' };
const twoShares = (operator: string, site: string) => ({ split: { kind: 'shares', shares: [{ party: 'operator', percent: operator }, { party: 'site', percent: site }] } });
let api: TestApi;
let office: TestClient;
/** Plain shares of 60 and 40, with a count that came late. */
let plain: Running;
/** A first call that is carried on, two versions, counts that came late to two months. */
let rich: Running;

const collect = (running: Running, day: string, coin: string): Promise<Made> =>
  makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day) });

async function issue(startsOn: string): Promise<void> {
  expect((await issueMonth(api, (await closeMonth(api, startsOn)).id)).failures).toEqual([]);
}

beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  [plain, rich] = [await makeRunningSite(office), await makeRunningSite(office)];
  const call = { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'period', amount: '60.00' }, rest: 'carry' };
  const version = async (effectiveFrom: string, agreement: Made, fields: object): Promise<void> => {
    const terms = { ...plainTerms({ partyId: rich.party.id }), charges: [call], ...fields };
    await office.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom, terms, reason: 'Agreed' }).set('If-Match', etag(agreement)).expect(201);
  };
  await version('2025-06-01', rich.agreement, {});
  const changed = (await office.get(`/v1/agreements/${rich.agreement.id}`).expect(200)).body as Made;
  await version('2026-03-15', changed, plainTerms({ partyId: rich.party.id, operatorPercent: '55', sitePercent: '45' }));
  await collect(plain, '2026-02-10', '100.00');
  await collect(rich, '2026-02-10', '20.00');
  await issue('2026-02-01');
  await collect(plain, '2026-03-10', '200.00');
  await collect(rich, '2026-03-10', '310.55');
  await collect(rich, '2026-03-20', '41.13');
  await issue('2026-03-01');
  await collect(plain, '2026-02-20', '50.00');
  await collect(rich, '2026-02-20', '77.77');
  await collect(rich, '2026-03-25', '33.33');
  await collect(rich, '2026-04-10', '99.01');
  await collect(plain, '2026-04-10', '10.00');
  await issue('2026-04-01');
});
afterAll(() => api?.close());

async function ask(body: object): Promise<WhatIfAnswer> {
  const answer = await office.post('/v1/what-if', { ...days, ...body });
  if (answer.status !== 200) throw new Error(JSON.stringify(answer.body));
  return answer.body as WhatIfAnswer;
}
const minor = (money: { amount: string }): bigint => BigInt(money.amount.replace('.', ''));
const party = (answer: WhatIfAnswer, id: string): WhatIfAnswer['parties'][number] => {
  const found = answer.parties.find((each) => each.partyId === id);
  if (found === undefined) throw new Error(`no ${id}`);
  return found;
};
const amounts = (before: string, after: string, difference: string): WhatIfAmounts => ({ before: usd(before), after: usd(after), difference: usd(difference) } as WhatIfAmounts);

/** Every `difference` anywhere in the answer. */
function differences(value: unknown): string[] {
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([name, each]) => (name === 'difference' ? [(each as { amount: string }).amount] : differences(each)));
}

describe('the same terms', () => {
  it.each([['all sites', undefined], ['one site with a late count', 'plain'], ['one site with carries, versions and late counts', 'rich']] as const)('change nothing for %s', async (_name, which) => {
    const siteIds = which === undefined ? {} : { siteIds: [(which === 'plain' ? plain : rich).site.id] };
    const answer = await ask({ ...siteIds, changes: { loss: 'carry' } });
    expect(answer.periods).toBe(which === undefined ? 6 : 3);
    const found = differences(answer);
    expect(found.length).toBeGreaterThan(10);
    expect(new Set(found)).toEqual(new Set(['0.00']));
  });

  it('stand as issued: what was before is what the settlements say, late blocks in the month that they are about', async () => {
    const answer = await ask({ siteIds: [rich.site.id], changes: { loss: 'carry' } });
    const settlements: Settlement[] = [];
    for (const startsOn of months) settlements.push(await settlementOf(api, { siteId: rich.site.id, startsOn }));
    expect(settlements.at(-1)?.lines.some((line) => line.periodStartsOn === '2026-02-01')).toBe(true);
    const lines = settlements.flatMap((settlement) => settlement.lines);
    for (const { startsOn, total } of party(answer, rich.party.id).periods) {
      const own = lines.filter((line) => line.periodStartsOn === startsOn && ['share', 'guarantee'].includes(line.kind) && line.party === rich.party['name']);
      expect([startsOn, minor(total.before)]).toEqual([startsOn, own.reduce((sum, line) => sum + minor(line.amount), 0n)]);
    }
  });
});

describe('other shares', () => {
  it('give every party and month what the percentages say, by hand', async () => {
    const answer = await ask({ siteIds: [plain.site.id], changes: twoShares('50', '50') });
    // February 100.00 and 50.00 late, March 200.00, April 10.00; 40 percent against 50.
    expect(party(answer, plain.party.id).periods).toEqual([
      { startsOn: '2026-02-01', endsBefore: '2026-03-01', total: amounts('60.00', '75.00', '15.00') },
      { startsOn: '2026-03-01', endsBefore: '2026-04-01', total: amounts('80.00', '100.00', '20.00') },
      { startsOn: '2026-04-01', endsBefore: '2026-05-01', total: amounts('4.00', '5.00', '1.00') },
    ]);
    expect(party(answer, plain.party.id)).toMatchObject({ role: 'site', name: plain.party['name'], total: amounts('144.00', '180.00', '36.00') });
    expect(party(answer, 'operator')).toMatchObject({ role: 'operator', total: amounts('216.00', '180.00', '-36.00') });
    expect(answer.sites).toMatchObject([{ siteId: plain.site.id, operator: amounts('216.00', '180.00', '-36.00'), site: amounts('144.00', '180.00', '36.00'), others: amounts('0.00', '0.00', '0.00') }]);
    expect(answer.sentences?.join(' ')).toContain('50');
    const share = answer.lines?.find((line) => line.startsOn === '2026-02-01' && line.kind === 'share' && line.party === plain.party['name']);
    expect(share).toMatchObject({ label: 'Share', step: 'split', amounts: amounts('60.00', '75.00', '15.00') });
  });

  it('carry on through the changed months, and nothing is lost or made', async () => {
    const call = { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'period', amount: '250.00' }, rest: 'carry' };
    const answer = await ask({ siteIds: [rich.site.id], changes: { charges: [call], ...twoShares('10', '90') } });
    const [first, second, third] = answer.lines?.filter((line) => line.kind === 'charge').map((line) => line.amounts.after.amount) ?? [];
    // 97.77 in February: 152.23 are carried. All of March's 385.01 go to the rest and to March's own call, 17.22 are carried.
    expect([first, second, third]).toEqual(['97.77', '152.23', expect.any(String)]);
    const charged = answer.lines?.filter((line) => line.kind === 'charge').reduce((sum, line) => sum + minor(line.amounts.after), 0n);
    expect(charged).toBe(minor(party(answer, 'operator').charges.after));
    for (const { takings, tax, carried } of answer.totals) {
      for (const side of ['before', 'after', 'difference'] as const) {
        const had = answer.parties.reduce((sum, each) => sum + minor(each.total[side]) + minor(each.borne[side]), 0n);
        expect(had).toBe(minor(takings[side]) - minor(tax[side]) - minor(carried[side]));
      }
    }
  });

  it('are sums of the sites, site by site', async () => {
    const all = await ask({ changes: twoShares('45', '55') });
    const each = [await ask({ siteIds: [plain.site.id], changes: twoShares('45', '55') }), await ask({ siteIds: [rich.site.id], changes: twoShares('45', '55') })];
    expect(minor(party(all, 'operator').total.after)).toBe(each.reduce((sum, answer) => sum + minor(party(answer, 'operator').total.after), 0n));
    for (const { party: owner } of [plain, rich]) {
      const alone = each.find((answer) => answer.parties.some((known) => known.partyId === owner.id));
      expect(party(all, owner.id)).toEqual(alone === undefined ? undefined : party(alone, owner.id));
    }
    expect(all.lines).toBeNull();
    expect(all.sites).toHaveLength(2);
  });

  it('may come as whole terms, in which `site` is the party of each agreement', async () => {
    const terms = plainTerms({ partyId: 'site', operatorPercent: '50', sitePercent: '50' });
    expect(party(await ask({ terms }), plain.party.id).total).toEqual(amounts('144.00', '180.00', '36.00'));
  });
});

it('stores nothing', async () => {
  const rows = () => api.operator.inBooks(async (tx) => (await tx.sql('SELECT (SELECT count(*) FROM period) AS periods, (SELECT count(*) FROM settlement) AS settlements, (SELECT count(*) FROM audit_entry) AS audited, (SELECT max(revision) FROM settlement) AS revision')).rows);
  const before = await rows();
  await ask({ changes: twoShares('50', '50') });
  expect(await rows()).toEqual(before);
});

describe('is refused', () => {
  const refusal = async (body: object) => office.post('/v1/what-if', { ...days, ...body });

  it.each([
    ['days that run backwards', { endsBefore: '2026-01-01', changes: { loss: 'carry' } }, 400, ['#/endsBefore before-start']],
    ['more than a year', { startsOn: '2025-01-01', endsBefore: '2026-02-01', changes: { loss: 'carry' } }, 400, ['#/endsBefore too-long']],
    ['neither terms nor changes', {}, 400, ['#/changes one-of-two']],
    ['a change of the cycle', { changes: { cycle: { kind: 'month' } } }, 400, ['#/changes/cycle unknown-field', '#/changes not-valid']],
    ['shares that make no hundred', { changes: twoShares('50', '49') }, 422, ['#/changes/split/shares shares-not-hundred']],
    ['an amount in wrong digits', { changes: { payout: { smallest: '1.5', negative: 'carry', smallestCoin: null } } }, 422, ['#/changes/payout/smallest wrong-digits']],
    ['a party that is not in the agreement', { changes: { split: { kind: 'shares', shares: [{ party: 'operator', percent: '50' }, { party: 'nobody', percent: '50' }] } } }, 422, ['#/changes/split/shares/1/party party-unknown']],
    ['another cycle', { terms: plainTerms({ partyId: 'site', cycle: { kind: 'week', startsOnWeekday: 1 } }) }, 422, ['#/terms/cycle other-cycle']],
    ['takings by meter', { changes: { basis: 'metered' } }, 422, ['#/changes metered-amount-missing']],
    ['days in which nothing is settled', { startsOn: '2024-01-01', endsBefore: '2024-06-01', changes: { loss: 'carry' } }, 422, ['#/startsOn nothing-settled']],
    ['a site that is not there', { siteIds: ['0195e000-0000-7000-8000-00000000e15e'], changes: { loss: 'carry' } }, 422, ['#/siteIds/0 unknown']],
  ])('with the field and the reason: %s', async (_name, body, status, errors) => {
    const answer = await refusal(body);
    expect([answer.status, errorsOf(answer)]).toEqual([status, errors]);
  });

  it('where a limit of the law is not kept, with its source; other sites are computed', async () => {
    const areaId = ((await office.get(`/v1/sites/${rich.site.id}`).expect(200)).body as { taxAreaId: string }).taxAreaId;
    const source = 'Occupations code s. 2153.205, read 2026-01-05';
    await office.post(`/v1/tax-areas/${areaId}/limits`, { validFrom: '2025-01-01', source, document: { kind: 'highest-site-share', percent: '50' } }).expect(201);
    const alone = await refusal({ siteIds: [rich.site.id], changes: twoShares('45', '55') });
    expect([alone.status, errorsOf(alone)]).toEqual([422, ['#/changes/split/shares/1/percent law-highest-site-share']]);
    // Days in sentences are written out.
    expect(JSON.stringify(alone.body)).toContain('s. 2153.205, read 5 January 2026');
    const all = await ask({ changes: twoShares('45', '55') });
    expect([all.agreements, all.sites.map((site) => site.siteId)]).toEqual([1, [plain.site.id]]);
    expect(all.notComputed).toMatchObject([{ siteId: rich.site.id, errors: [{ pointer: '#/changes/split/shares/1/percent', code: 'law-highest-site-share', message: expect.stringContaining('s. 2153.205, read 5 January 2026') }] }]);
  });

  it('to site managers and collectors, and beyond so many a minute', async () => {
    for (const role of ['site-manager', 'collector', 'custodian'] as const) {
      expect([role, (await api.operator.as(role).post('/v1/what-if', { ...days, changes: { loss: 'carry' } })).status]).toEqual([role, 403]);
    }
    const limited = await startTestApi({ costlyPerMinute: 2 });
    try {
      const statuses: number[] = [];
      for (let time = 0; time < 3; time += 1) statuses.push((await limited.operator.as('owner').post('/v1/what-if', { ...days, changes: { loss: 'carry' } })).status);
      expect(statuses).toEqual([422, 422, 429]);
      await limited.operator.as('owner').get('/v1/sites').expect(200);
    } finally {
      await limited.close();
    }
  });
});

// Last, because the books stay reversed.
it('leaves out a settlement that was reversed, and what it said about earlier months', async () => {
  const april = await settlementOf(api, { siteId: plain.site.id, startsOn: '2026-04-01' });
  await api.operator.inBooks((tx) =>
    tx.sql(`INSERT INTO settlement_reversal (tenant_id, id, settlement_id, accounting_date, reason, recorded_at, recorded_by) VALUES ($1, $2, $2, '2026-05-02', 'wrong site', now(), $3)`, [tx.tenantId, april.id, tx.actor]),
  );
  const answer = await ask({ siteIds: [plain.site.id], changes: twoShares('50', '50') });
  // The late 50.00 of February was in it.
  expect(party(answer, plain.party.id).periods.map((period) => [period.startsOn, period.total.before.amount])).toEqual([
    ['2026-02-01', '40.00'],
    ['2026-03-01', '80.00'],
  ]);
});
