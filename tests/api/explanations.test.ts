import type { Settlement, SettlementLine } from '#contracts/settlement';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { makeRunningSite, makeTaxArea, plainTerms, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const component = (fields: object) => ({ id: 'county', title: 'County tax', ...fields });
const ruleHead = { currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all' };
const rate = { breakIns: 'in-base', negative: 'carry' };
const rules: { readonly [code: string]: object } = {
  INSIDE: { method: 'inside', title: 'Tax in the price', ...ruleHead, ...rate, capPerMachineMonth: null, components: [component({ ratePercent: '4' }), component({ id: 'town', title: 'Town tax', ratePercent: '0.5' })] },
  FIXED: { method: 'fixed', title: 'Decal', ...ruleHead, breakIns: 'in-base', per: 'month', timing: { kind: 'by-days-covered' }, components: [component({ amount: '3.10', placedLater: null })] },
};
const richTerms = (partyId: string): object => ({
  ...plainTerms({ partyId }),
  charges: [
    { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'period', amount: '40.00' }, rest: 'carry' },
    { id: 'care', title: 'Care', to: partyId, scope: 'pool', amount: { kind: 'percentage', of: 'what-is-left', percent: '3' }, rest: 'lapse' },
  ],
  split: {
    kind: 'bands', method: 'marginal', scope: 'agreement', per: 'period',
    bands: [
      { from: '0.00', to: '50.00', shares: [{ party: 'operator', percent: '60' }, { party: partyId, percent: '40' }] },
      { from: '50.00', to: null, shares: [{ party: 'operator', percent: '45' }, { party: partyId, percent: '55' }] },
    ],
  },
  guarantees: [
    { id: 'least', kind: 'at-least', party: partyId, amount: '30.00', per: 'period', scope: 'agreement', from: 'others' },
    { id: 'most', kind: 'at-most', party: partyId, amount: '90.00', per: 'period', scope: 'agreement', excessTo: 'operator' },
  ],
  payout: { smallest: '500.00', negative: 'carry', smallestCoin: null },
});

async function makeRichSite(): Promise<{ running: Awaited<ReturnType<typeof makeRunningSite>>; ruleIds: string[] }> {
  const area = await makeTaxArea(office);
  const ruleIds: string[] = [];
  for (const [code, document] of Object.entries(rules)) {
    const made = await office.post(`/v1/tax-areas/${area.id}/rules`, { code, validFrom: '2025-01-01', source: 'Revenue code s. 4, read 2026-01-05', document });
    if (made.status !== 201) throw new Error(JSON.stringify(made.body));
    ruleIds.push((made.body as Made).id);
  }
  const running = await makeRunningSite(office, { site: { taxAreaId: area.id } });
  const version = { effectiveFrom: '2025-06-01', terms: richTerms(running.party.id), reason: 'Agreed' };
  await office.post(`/v1/agreements/${running.agreement.id}/versions`, version).set('If-Match', `"${running.agreement.revision}"`).expect(201);
  return { running, ruleIds };
}

it('gives every line of a settlement its step, inputs, dated rule, exact value and sentence, late blocks included', async () => {
  const { running, ruleIds } = await makeRichSite();
  const collect = (day: string, coin: string, more: object = {}) => makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment(day), ...more });
  await collect('2026-02-10', '35.01');
  await issueMonth(api, (await closeMonth(api, '2026-02-01')).id);
  const refunds = [{ machineTag: running.machine['tag'], refundedOn: '2026-03-04', amount: usd('1.25'), paidBy: 'site' }];
  await collect('2026-03-10', '301.07', { refunds, cashHanded: [{ amount: usd('3.33') }] });
  await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  await collect('2026-02-20', '77.77');
  await collect('2026-04-10', '99.01');
  await issueMonth(api, (await closeMonth(api, '2026-04-01')).id);
  const versions = ((await office.get(`/v1/agreements/${running.agreement.id}/versions`).expect(200)).body as { items: Made[] }).items.map((version) => version.id);
  const lines: SettlementLine[] = [];
  for (const startsOn of ['2026-02-01', '2026-03-01', '2026-04-01']) {
    const settlement: Settlement = await settlementOf(api, { siteId: running.site.id, startsOn });
    expect(settlement.sentences.length).toBeGreaterThan(6);
    lines.push(...settlement.lines);
  }
  for (const { kind, step, why } of lines) {
    expect([kind, why?.step]).toEqual([kind, step]);
    expect(why?.text).toMatch(/^[A-Z].*\.$/);
    expect([kind, why?.inputs.length === 0, why?.inputs.filter((input) => input.value === null)]).toEqual([kind, false, []]);
    expect(why?.exactValue).toEqual({ numerator: expect.stringMatching(/^-?\d+$/), denominator: expect.stringMatching(/^[1-9]\d*$/) });
    const rule = why?.ruleVersion;
    expect(rule?.of === 'tax-rule' ? ruleIds : versions).toContain(rule?.of === 'tax-rule' ? rule.ruleId : rule?.versionId);
  }
  const kinds = new Set(lines.map((line) => line.kind));
  const wanted = ['cash', 'refund', 'tax', 'tax-taxable', 'tax-of-machine', 'charge', 'charge-rest', 'share', 'guarantee', 'payee-handed-cash', 'payee-refund', 'payee-carried-in', 'payable'];
  expect(wanted.filter((kind) => !kinds.has(kind))).toEqual([]);
  expect(lines.some((line) => line.why?.inputs.some((input) => input.label === 'Issued before'))).toBe(true);
  const [taxable] = lines.filter((line) => line.kind === 'tax-taxable');
  // 35.01 / 1.045, in cents: 3501 / 1.045 = 3,501,000 / 1,045, in lowest terms 700,200 / 209.
  expect(taxable?.why).toMatchObject({ exactValue: { numerator: '700200', denominator: '209' }, ruleVersion: { of: 'tax-rule', title: 'Tax in the price', startsOn: '2025-01-01', endsBefore: null } });
});
