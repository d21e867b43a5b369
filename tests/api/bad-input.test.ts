import type { Advance } from '#contracts/advance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { etag, makeMachine, makeParty, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

// What nobody can compute, or what contradicts itself: each refused at the field that is wrong, with a code for programs and
// words for people. Nothing of it reaches the books.

let api: TestApi;
let office: TestClient;
let owner: TestClient;
let running: Awaited<ReturnType<typeof makeRunningSite>>;
/** One that the agreement does not list, and one that it does. */
let stranger: Made;
let landlord: Made;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  owner = api.operator.as('owner');
  stranger = await makeParty(office);
  landlord = await makeParty(office);
  running = await makeRunningSite(office, { agreement: { otherPartyIds: [landlord.id] } });
});
afterAll(() => api?.close());

type Answer = { readonly status: number; readonly body: unknown };
type Problem = { code: string; title: string; detail?: string; errors?: { pointer: string; code: string; message: string }[] };

/** Names that only programs use: of fields, in camel case, or in backticks. Then the parser's own words, which speak of its types. */
const namesOfPrograms = /\b[a-z]+[A-Z]\w*|`|Invalid|Unrecognized|expected|pattern/;

/** `pointer code` of each wrong field, after a look at the words. */
function refusalOf({ status, body }: Answer): string[] {
  const { errors = [] } = body as Problem;
  expect([400, 409, 422]).toContain(status);
  for (const { message } of errors) {
    expect(message.split(' ').length).toBeGreaterThan(2);
    expect(message).not.toMatch(namesOfPrograms);
  }
  return errors.map(({ pointer, code }) => `${pointer} ${code}`);
}

const operator = 'operator';
const site = (): string => running.party.id;
const shares = (...list: readonly (readonly [string, string])[]) => list.map(([party, percent]) => ({ party, percent }));
const half = () => shares([operator, '50'], [site(), '50']);
const split = (list: object[]) => ({ split: { kind: 'shares', shares: list } });
const bands = (...list: readonly (readonly [from: string, to: string | null, shares?: object[]])[]) => ({
  split: { kind: 'bands', method: 'marginal', scope: 'agreement', per: 'period', bands: list.map(([from, to, own]) => ({ from, to, shares: own ?? half() })) },
});
const charge = (more: object = {}) => ({ charges: [{ id: 'rent', title: 'Rent', to: operator, scope: 'agreement', rest: 'lapse', amount: { kind: 'amount', per: 'week', amount: '75.00' }, ...more }] });
const least = (more: object = {}) => ({ id: 'floor', kind: 'at-least', party: site(), amount: '100.00', per: 'period', scope: 'agreement', from: 'others', ...more });
const most = (more: object = {}) => ({ id: 'cap', kind: 'at-most', party: site(), amount: '100.00', per: 'period', scope: 'agreement', excessTo: operator, ...more });
const payout = (more: object) => ({ payout: { smallest: '0.00', negative: 'carry', smallestCoin: null, ...more } });
const three = () => [{ id: operator, role: 'operator' }, { id: site(), role: 'site' }, { id: landlord.id, role: 'other' }];
const beyond = '10000000000000.01';

/** What is wrong with terms, tried as a new version of an agreement. */
const terms: readonly [title: string, changes: () => object, refused: string[]][] = [
  ...(
    [
      ['format', { format: 2 }, '/format'],
      ['arrangement', { arrangement: 'loan' }, '/arrangement'],
      ['cycle', { cycle: { kind: 'quarter' } }, '/cycle/kind'],
      ['basis', { basis: 'guessed' }, '/basis'],
      ['grouping', { grouping: 'town' }, '/grouping'],
      ['filer', { tax: { filedBy: 'nobody', borneBy: 'all' } }, '/tax/filedBy'],
      ['bearer of tax', { tax: { filedBy: 'site', borneBy: 'nobody' } }, '/tax/borneBy'],
      ['card booking', { cashless: 'by-moon' }, '/cashless'],
      ['bearer of break-ins', { breakIns: { borneBy: 'thief' } }, '/breakIns/borneBy'],
      ['charge', charge({ amount: { kind: 'gift' } }), '/charges/0/amount/kind'],
      ['unit of time of a charge', charge({ amount: { kind: 'amount', per: 'hour', amount: '1.00' } }), '/charges/0/amount/per'],
      ['base of a percentage', charge({ amount: { kind: 'percentage', of: 'turnover', percent: '5' } }), '/charges/0/amount/of'],
      ['scope', charge({ scope: 'street' }), '/charges/0/scope'],
      ['fate of a rest', charge({ rest: 'forget' }), '/charges/0/rest'],
      ['split', { split: { kind: 'lots' } }, '/split/kind'],
      ['loss', { loss: 'forget' }, '/loss'],
      ['advance', { advances: { kind: 'interest' } }, '/advances/kind'],
      ['payout below zero', payout({ negative: 'forget' }), '/payout/negative'],
      ['currency', { currency: 'ZZZ' }, '/currency'],
    ] as const
  ).map(([title, changes, at]): [string, () => object, string[]] => {
    const code = at.endsWith('/kind') ? 'no-known-form' : at === '/currency' ? 'not-valid' : 'not-one-of';
    return [`an unknown ${title}`, () => changes, [`${at} ${code}`]];
  }),
  ['an unknown guarantee', () => ({ guarantees: [least({ kind: 'about' })] }), ['/guarantees/0/kind no-known-form']],
  ['an unknown method of bands', () => ({ split: { ...bands(['0.00', null]).split, method: 'middle' } }), ['/split/method not-one-of']],
  ['an unknown source of a guarantee', () => ({ guarantees: [least({ from: 'bank' })] }), ['/guarantees/0/from not-one-of']],
  ['an unknown role', () => ({ parties: [...three().slice(0, 2), { id: landlord.id, role: 'judge' }] }), ['/parties/2/role not-one-of']],
  ['a field too many', () => ({ discount: '5' }), ['/discount unknown-field']],

  ['shares of 99.999999999', () => split(shares([operator, '50'], [site(), '49.999999999'])), ['/split/shares shares-not-hundred']],
  ['shares of 100.000000001', () => split(shares([operator, '50'], [site(), '50.000000001'])), ['/split/shares shares-not-hundred']],
  ['a share with ten places', () => split(shares([operator, '50'], [site(), '49.9999999999'])), ['/split/shares/1/percent not-valid']],
  ['a share below zero', () => split(shares([operator, '101'], [site(), '-1'])), ['/split/shares/0/percent percent-out-of-range', '/split/shares/1/percent percent-out-of-range']],
  ['two shares of one party', () => split(shares([operator, '50'], [operator, '50'])), ['/split/shares/1/party party-listed-twice']],
  ['a share of a stranger', () => split(shares([operator, '50'], [stranger.id, '50'])), ['/split/shares/1/party party-unknown']],
  ['no shares', () => split([]), ['/split/shares too-small']],

  ['a gap between bands', () => bands(['0.00', '100.00'], ['100.01', null]), ['/split/bands/0/to bands-gap-or-overlap']],
  ['bands that overlap', () => bands(['0.00', '100.00'], ['99.99', null]), ['/split/bands/0/to bands-gap-or-overlap']],
  ['bands that go backwards', () => bands(['0.00', '0.00'], ['0.00', null]), ['/split/bands/0/to bands-gap-or-overlap']],
  ['bands from above zero', () => bands(['1.00', null]), ['/split/bands/0/from bands-must-start-at-zero']],
  ['bands that end', () => bands(['0.00', '100.00']), ['/split/bands/0/to last-band-must-be-open']],
  ['a band of 90 percent', () => bands(['0.00', '100.00', shares([operator, '50'], [site(), '40'])], ['100.00', null]), ['/split/bands/0/shares shares-not-hundred']],

  ['a guarantee for a party that is not in the split', () => ({ parties: three(), guarantees: [least({ party: landlord.id })] }), ['/guarantees/0/party party-not-in-split']],
  ['a guarantee for a stranger', () => ({ guarantees: [least({ party: stranger.id })] }), ['/guarantees/0/party party-not-in-split']],
  ['a guarantee below zero', () => ({ guarantees: [least({ amount: '-0.01' })] }), ['/guarantees/0/amount amount-out-of-range']],
  ['a cap below zero', () => ({ guarantees: [most({ amount: '-0.01' })] }), ['/guarantees/0/amount amount-out-of-range']],
  ['a guarantee above the cap', () => ({ guarantees: [least({ amount: '100.01' }), most()] }), ['/guarantees/0/amount guarantee-above-cap']],
  ['an excess to who is capped', () => ({ guarantees: [most({ excessTo: site() })] }), ['/guarantees/0/excessTo guarantee-from-itself']],
  [
    'two caps whose excess goes round in a circle',
    () => ({ guarantees: [most(), most({ id: 'other-cap', party: operator, excessTo: site() })] }),
    ['/guarantees/1/excessTo excess-in-a-circle'],
  ],
  [
    'three of them',
    () => ({
      parties: three(),
      ...split(shares([operator, '40'], [site(), '40'], [landlord.id, '20'])),
      guarantees: [most(), most({ id: 'b', party: operator, excessTo: landlord.id, scope: 'pool' }), most({ id: 'c', party: landlord.id, excessTo: site() })],
    }),
    ['/guarantees/2/excessTo excess-in-a-circle'],
  ],
  ['a guarantee of the operator to itself', () => ({ guarantees: [least({ party: operator, from: 'operator' })] }), ['/guarantees/0/from guarantee-from-itself']],

  ['a charge of more than 10^15 cents', () => charge({ amount: { kind: 'amount', per: 'week', amount: beyond } }), ['/charges/0/amount/amount too-large']],
  ['a charge of 10^15 dollars', () => charge({ amount: { kind: 'amount', per: 'week', amount: '1000000000000000.00' } }), ['/charges/0/amount/amount too-large']],
  ['a charge below zero', () => charge({ amount: { kind: 'amount', per: 'week', amount: '-75.00' } }), ['/charges/0/amount/amount amount-out-of-range']],
  ['a charge of 101 %', () => charge({ amount: { kind: 'percentage', of: 'net-takings', percent: '101' } }), ['/charges/0/amount/percent percent-out-of-range']],
  ['a charge to a stranger', () => charge({ to: stranger.id }), ['/charges/0/to party-unknown']],
  ['two charges under one id', () => ({ charges: [...charge().charges, ...charge().charges] }), ['/charges/1/id id-used-twice']],
  ['an id of a charge with capitals', () => charge({ id: 'Rent' }), ['/charges/0/id wrong-format']],
  ['an advance worked off by 100.5 %', () => ({ advances: { kind: 'percentage', percent: '100.5' } }), ['/advances/percent percent-out-of-range']],
  ['an advance worked off by nothing', () => ({ advances: { kind: 'fixed', amount: '0.00' } }), ['/advances/amount amount-out-of-range']],
  ['a smallest payout below zero', () => payout({ smallest: '-1.00' }), ['/payout/smallest amount-out-of-range']],
  ['a coin of nothing', () => payout({ smallestCoin: '0.00' }), ['/payout/smallestCoin amount-out-of-range']],
  ['an amount with a comma', () => payout({ smallest: '10,00' }), ['/payout/smallest not-a-number']],
  ['an amount without its digits', () => payout({ smallest: '10.0' }), ['/payout/smallest wrong-digits']],
  ['a token below zero', () => ({ tokens: [{ tokenId: 'brass', value: '-0.25' }] }), ['/tokens/0/value amount-out-of-range']],

  ['another currency than the site has', () => ({ currency: 'EUR' }), ['/currency currency-not-of-the-site']],
  ['two operators', () => ({ parties: [...three().slice(0, 2), { id: landlord.id, role: 'operator' }] }), ['/parties needs-one-operator', '/parties/2/id not-the-operator']],
  ['a party that the agreement does not list', () => ({ parties: [...three().slice(0, 2), { id: stranger.id, role: 'other' }] }), ['/parties/2/id not-of-agreement']],
  ['weekday 8', () => ({ cycle: { kind: 'week', startsOnWeekday: 8 } }), ['/cycle/startsOnWeekday too-large']],
  ['a day that does not exist', () => ({ cycle: { kind: 'four-weeks', anchor: '2026-02-30' } }), ['/cycle/anchor not-valid']],
  ['card takings by day between visits', () => ({ cycle: { kind: 'visit' } }), ['/cashless visit-needs-by-collection']],
];

describe('terms', () => {
  const sign = (body: object) => office.post(`/v1/agreements/${running.agreement.id}/versions`, body).set('If-Match', etag(running.agreement));

  it.each(terms)('%s', async (_title, changes, refused) => {
    const answer = await sign({ effectiveFrom: '2025-06-01', reason: 'As agreed.', terms: { ...plainTerms({ partyId: site() }), ...changes() } });
    expect(refusalOf(answer)).toEqual(refused.map((each) => `#/terms${each}`));
  });

  it.each([
    ['two versions from one day', { effectiveFrom: '2025-01-01' }, '#/effectiveFrom other-version'],
    ['a version before the agreement', { effectiveFrom: '2024-12-31' }, '#/effectiveFrom before-agreement'],
    ['a correction of a version that is not there', { effectiveFrom: '2025-01-01', replaces: '0189a000-0000-7000-8000-0000000000ff' }, '#/replaces unknown'],
    ['a day that does not exist', { effectiveFrom: '2025-02-29' }, '#/effectiveFrom wrong-format'],
  ])('%s', async (_title, body, refused) => {
    expect(refusalOf(await sign({ ...body, terms: plainTerms({ partyId: site() }), reason: 'As agreed.' }))).toEqual([refused]);
  });

  it('an agreement that ends before it begins', async () => {
    const answer = await office.patch(`/v1/agreements/${running.agreement.id}`, { endedOn: '2024-12-31' }).set('If-Match', etag(running.agreement));
    expect(refusalOf(answer)).toEqual(['#/endedOn not-after-start']);
  });
});

describe('tax', () => {
  const rule = (more: object = {}) => ({
    method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', negative: 'zero', capPerMachineMonth: null,
    components: [{ id: 'state', title: 'State', ratePercent: '4.5' }],
    ...more,
  });
  const fixed = (more: object = {}) => {
    const { negative: _negative, capPerMachineMonth: _cap, ...common } = rule() as Record<string, unknown>;
    return { ...common, method: 'fixed', per: 'year', timing: { kind: 'by-days-covered' }, components: [{ id: 'state', title: 'Stamp', amount: '60.00', placedLater: null }], ...more };
  };
  const rates = (...list: readonly string[]) => list.map((ratePercent, index) => ({ id: `part-${index}`, title: `Part ${index}`, ratePercent }));
  const create = (body: object) => office.post(`/v1/tax-areas/${running.site['taxAreaId'] as string}/rules`, { code: 'TRIED', validFrom: '2025-01-01', source: 'Invented for this test.', ...body });

  it.each([
    ['an unknown method', rule({ method: 'lottery' }), ['/method no-known-form']],
    ['an unknown bearer', rule({ borneBy: 'nobody' }), ['/borneBy not-one-of']],
    ['an unknown timing', fixed({ timing: { kind: 'at-once' } }), ['/timing/kind no-known-form']],
    ['a rate over 100 %', rule({ components: rates('100.000000001') }), ['/components/0/ratePercent not-valid']],
    ['a rate below zero', rule({ components: rates('-1') }), ['/components/0/ratePercent not-valid']],
    ['rates over 100 % together', rule({ components: rates('60', '40.000000001') }), ['/components rates-above-hundred']],
    ['two components under one id', rule({ components: [...rates('1'), ...rates('2')] }), ['/components/1/id id-used-twice']],
    ['no component', rule({ components: [] }), ['/components too-small']],
    ['a cap below zero', rule({ capPerMachineMonth: '-1.00' }), ['/capPerMachineMonth negative']],
    ['a cap of more than 10^15', rule({ capPerMachineMonth: beyond }), ['/capPerMachineMonth too-large']],
    ['a fixed tax below zero', fixed({ components: [{ id: 'state', title: 'Stamp', amount: '-60.00', placedLater: null }] }), ['/components/0/amount negative']],
    ['31 April', fixed({ timing: { kind: 'when-due', month: 4, day: 31, onPlacement: false } }), ['/timing/day no-such-day']],
    [
      'a later amount where a machine that comes later owes nothing',
      fixed({ components: [{ id: 'state', title: 'Stamp', amount: '60.00', placedLater: { month: 7, day: 1, amount: '30.00' } }] }),
      ['/components/0/placedLater placed-later-needs-placement'],
    ],
    ['another currency than the sites of the area have', rule({ currency: 'EUR' }), ['/currency other-currency']],
  ])('%s', async (_title, document, refused) => {
    expect(refusalOf(await create({ document }))).toEqual(refused.map((each) => `#/document${each}`));
  });

  it('a rule that ends before it begins, rows that overlap, and a second tax inside the price', async () => {
    expect(refusalOf(await create({ validTo: '2024-12-31', document: rule() }))).toEqual(['#/validTo not-after-start']);
    const area = (await office.post('/v1/tax-areas', { code: 'BAD-INPUT', name: 'Quillham County', country: 'US' }).expect(201)).body as Made;
    const inArea = (body: object) => office.post(`/v1/tax-areas/${area.id}/rules`, { code: 'SALES', validFrom: '2025-01-01', source: 'Invented for this test.', document: rule(), ...body });
    await inArea({ validTo: '2026-01-01' }).expect(201);
    expect(refusalOf(await inArea({ validFrom: '2025-12-31' }))).toEqual(['#/validFrom overlaps']);
    expect(refusalOf(await inArea({ code: 'OTHER', validFrom: '2025-12-31' }))).toEqual(['#/document/machineKinds second-tax-inside']);
  });

  it('limits of the law that end before they begin, or divide more than there is', async () => {
    const limit = (body: object) => owner.post(`/v1/tax-areas/${running.site['taxAreaId'] as string}/limits`, { validFrom: '2025-01-01', source: 'Invented Gaming Act', ...body });
    expect(refusalOf(await limit({ validTo: '2025-01-01', document: { kind: 'no-advances' } }))).toEqual(['#/validTo not-after-start']);
    expect(refusalOf(await limit({ document: { kind: 'fixed-split', operatorPercent: '60', sitePercent: '40.1' } }))).toEqual(['#/document/sitePercent above-hundred']);
    expect(refusalOf(await limit({ document: { kind: 'highest-site-share', percent: '100.1' } }))).toEqual(['#/document/percent not-valid']);
    expect(refusalOf(await limit({ document: { kind: 'no-fun' } }))).toEqual(['#/document/kind no-known-form']);
  });
});

describe('cash', () => {
  const collect = (more: object) => office.post('/v1/collections', { siteId: running.site.id, happenedAt: moment(), counts: [count(running.machine)], ...more });
  const eur = (amount: string) => ({ amount, currency: 'EUR' });

  it.each<[string, () => object, string[]]>([
    ['a count in another currency', () => ({ counts: [count(running.machine, '1.00', '0.00', { coin: eur('1.00') })] }), ['#/counts/0/coin/currency other-currency']],
    ['a count of more than 10^15', () => ({ counts: [count(running.machine, beyond)] }), ['#/counts/0/coin/amount too-large']],
    ['a count below zero', () => ({ counts: [count(running.machine, '-1.00')] }), ['#/counts/0/coin/amount negative']],
    ['a refund in another currency', () => ({ refunds: [{ machineTag: running.machine['tag'], refundedOn: '2026-03-10', amount: eur('1.00'), paidBy: 'site' }] }), ['#/refunds/0/amount/currency other-currency']],
    ['cash handed over in another currency', () => ({ cashHanded: [{ amount: eur('1.00') }] }), ['#/cashHanded/0/amount/currency other-currency']],
    ['a count of a machine that is not there', () => ({ counts: [count({ tag: 'NOT-THERE' } as unknown as Made)] }), ['#/counts/0/machineTag unknown-machine']],
  ])('%s', async (_title, body, refused) => {
    expect(refusalOf(await collect(body()))).toEqual(refused);
  });

  it('takes the largest amount there is, and settles it to the cent', async () => {
    const rich = await makeRunningSite(office);
    await makeAcceptedCollection(office, rich.site, [count(rich.machine, '10000000000000.00', '0.00')], { happenedAt: moment('2026-02-10') });
    expect((await issueMonth(api, (await closeMonth(api, '2026-02-01')).id)).failures).toEqual([]);
    const { totals } = await settlementOf(api, { siteId: rich.site.id, startsOn: '2026-02-01' });
    expect(totals).toMatchObject({ takings: usd('10000000000000.00'), siteShare: usd('4000000000000.00'), payable: usd('4000000000000.00') });
  });

  it('a machine that leaves before it comes', async () => {
    const machine = await makeMachine(office);
    const answer = await office.post('/v1/placements', { machineId: machine.id, siteId: running.site.id, placedOn: '2026-03-02', removedOn: '2026-03-01' });
    expect(refusalOf(answer)).toEqual(['#/removedOn not-after-placing']);
  });

  it('card takings in another currency', async () => {
    const report = { id: '0189a000-0000-7000-8000-00000000c001', machineTag: running.machine['tag'], localDate: '2026-03-10', gross: eur('1.00') };
    expect(refusalOf(await office.post('/v1/cashless-takings', { reports: [report] }))).toEqual(['#/reports/0/gross/currency other-currency']);
  });
});

describe('after issue', () => {
  const pay = (body: object) => office.post('/v1/payments', { agreementId: running.agreement.id, method: 'bank', paidOn: '2026-05-02', ...body });

  it('a payment larger than what is due, in another currency, or in coins that there are not; and a reversal of what was reversed', async () => {
    await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
    expect((await issueMonth(api, (await closeMonth(api, '2026-03-01')).id)).failures).toEqual([]);
    const issued = await settlementOf(api, { siteId: running.site.id, startsOn: '2026-03-01' });
    expect(refusalOf(await pay({ amount: usd('40.01') }))).toEqual(['#/amount larger-than-due']);
    expect(refusalOf(await pay({ amount: usd('41.00'), settlements: [{ settlementId: issued.id, amount: usd('41.00') }] }))).toEqual(['#/settlements/0/amount larger-than-open']);
    expect(refusalOf(await pay({ amount: { amount: '40.00', currency: 'EUR' } }))).toEqual(['#/amount/currency other-currency']);
    expect(refusalOf(await pay({ amount: usd('0.00') }))).toEqual(['#/amount/amount not-positive']);
    expect(refusalOf(await pay({ amount: usd('40.00'), paidOn: '2026-03-30' }))).toEqual(['#/paidOn before-item']);
    expect(refusalOf(await pay({ amount: usd('40.00'), accountingDate: '2026-05-01' }))).toEqual(['#/accountingDate outside']);

    const reverse = () => office.post(`/v1/settlements/${issued.id}/reversal`, { reason: 'Counted for the wrong site.' });
    await reverse().expect(200);
    const again = (await reverse().expect(409)).body as Problem;
    expect(again).toMatchObject({ code: 'reversed-already', title: 'It was reversed already' });
    expect(again.detail).not.toMatch(namesOfPrograms);
    expect(refusalOf(await pay({ amount: usd('1.00') }))).toEqual(['#/amount nothing-due']);
  });

  it('more back than an advance has open, and anything of one that is closed', async () => {
    const given = { agreementId: running.agreement.id, amount: usd('50.00'), method: 'bank', document: 'ADV-1', reason: 'A new counter.', givenOn: '2026-04-01' };
    expect(refusalOf(await office.post('/v1/advances', { ...given, amount: usd(beyond) }))).toEqual(['#/amount/amount too-large']);
    const advance = (await office.post('/v1/advances', given).expect(201)).body as Advance;
    const payBack = (body: object) => office.post(`/v1/advances/${advance.id}/pay-back`, { method: 'bank', paidOn: '2026-04-20', ...body });
    expect(refusalOf(await payBack({ amount: usd('50.01') }))).toEqual(['#/amount larger-than-open']);
    expect(refusalOf(await payBack({ amount: { amount: '1.00', currency: 'EUR' } }))).toEqual(['#/amount/currency other-currency']);
    expect(refusalOf(await payBack({ paidOn: '2026-03-31' }))).toEqual(['#/paidOn before-advance']);
    await payBack({}).expect(200);
    const closed = (await payBack({ amount: usd('1.00') }).expect(409)).body as Problem;
    expect(closed).toMatchObject({ code: 'wrong-state', detail: 'The advance is closed: nothing of it is open.' });
  });

  it('what is not a period, or not over', async () => {
    const close = (startsOn: string) => office.post('/v1/closes', { cycle: 'month', startsOn });
    expect((await close('2026-04-02').expect(409)).body).toMatchObject({ code: 'nothing-to-close' });
    expect((await close('2026-05-01').expect(409)).body).toMatchObject({ code: 'period-not-over' });
    expect(refusalOf(await office.post('/v1/closes', { cycle: 'quarter', startsOn: '2026-04-01' }))).toEqual(['#/cycle not-one-of']);
  });
});
