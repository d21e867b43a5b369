import type { TrialBalance } from '#contracts/journal';
import type { FiledTaxReturn, TaxReturnRecord, TaxWorksheet } from '#contracts/tax-return';
import { chanceFrom } from '#command/demo/random';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, makeMachine, makeParty, makePlacement, makeRunningSite, makeTaxArea, plainTerms, type Made } from '#tests/support/set-up';

const MARCH = '2026-03-01';
let api: TestApi;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-05-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
});

const document = {
  method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', negative: 'zero', capPerMachineMonth: null,
  components: [{ id: 'state', title: 'State', ratePercent: '4' }, { id: 'county', title: 'County', ratePercent: '0.5' }],
};

async function taxedArea(fields: object = {}): Promise<Made> {
  const area = await makeTaxArea(office);
  await office.post(`/v1/tax-areas/${area.id}/rules`, { code: 'SALES', validFrom: '2025-01-01', source: 'Invented for this test.', document, ...fields }).expect(201);
  return area;
}

const siteIn = (area: Made, site: object = {}, agreement: object = {}) => makeRunningSite(office, { site: { taxAreaId: area.id, ...site }, agreement });
const worksheetOf = async (area: Made, month = '2026-03', more = ''): Promise<TaxWorksheet> =>
  (await office.get(`/v1/tax-areas/${area.id}/worksheet?month=${month}${more}`).expect(200)).body as TaxWorksheet;
const returnsOf = (area: Made) => `/v1/tax-areas/${area.id}/returns`;
const filing = (worksheet: TaxWorksheet, fields: object = {}) => ({ month: worksheet.month, filedOn: '2026-05-01', digest: worksheet.digest, ...fields });

async function balances(area: Made): Promise<Record<string, string>> {
  const { accounts } = (await office.get('/v1/journal/trial-balance?on=2026-12-31').expect(200)).body as TrialBalance;
  return Object.fromEntries(accounts.filter(({ code }) => code.startsWith('tax-') && code.endsWith(area.id)).map(({ code, balance }) => [code.split(':')[0], balance.amount]));
}

const minor = (money: { amount: string }): bigint => BigInt(money.amount.replace('.', ''));

/** Whatever the state: lines add up to the difference, machines to components, components to the tax. */
function expectToAddUp(worksheet: TaxWorksheet): void {
  const sum = (amounts: { amount: string }[]) => amounts.reduce((total, each) => total + minor(each), 0n);
  expect(minor(worksheet.booked) + sum(worksheet.differences.map((each) => each.amount))).toBe(minor(worksheet.tax));
  for (const parts of [worksheet.rules, worksheet.machines, worksheet.sites]) expect(sum(parts.map((each) => each.tax))).toBe(minor(worksheet.tax));
  expect(sum(worksheet.sites.map((site) => site.booked))).toBe(minor(worksheet.booked));
}

it('adds up the month over all sites of the area, and names what is not settled yet', async () => {
  const area = await taxedArea();
  const [first, second, elsewhere] = [await siteIn(area), await siteIn(area), await makeRunningSite(office)];
  for (const { site, machine } of [first, second, elsewhere]) await makeAcceptedCollection(office, site, [count(machine, '10.03', '0.00')]);
  await makeAcceptedCollection(office, first.site, [count(first.machine, '50.00', '0.00')], { happenedAt: moment('2026-04-10') });

  const worksheet = await worksheetOf(area);
  expectToAddUp(worksheet);
  // 20.06 inside 4.5 % is 19.20 and 0.86, of which the county has 0.10.
  expect(worksheet).toMatchObject({ tax: usd('0.86'), booked: usd('0.00'), next: 'original', filed: null });
  expect(worksheet.rules).toMatchObject([{ code: 'SALES', base: usd('20.06'), taxable: usd('19.20'), components: [{ title: 'State', tax: usd('0.76') }, { title: 'County', tax: usd('0.10') }] }]);
  expect(worksheet.sites.map((site) => site.siteCode)).toEqual([first.site['code'], second.site['code']]);
  expect(worksheet.differences.map(({ cause, siteCode, amount }) => [cause, siteCode, amount.amount])).toEqual([
    ['not-settled', first.site['code'], '0.43'],
    ['not-settled', second.site['code'], '0.43'],
  ]);
  const one = await worksheetOf(area, '2026-03', `&siteId=${second.site.id}`);
  expect(new Set(one.machines.map((row) => row.machineTag))).toEqual(new Set([second.machine['tag']]));
});

it('reconciles to the tax account, is filed once, and posts the rest to the account of differences', async () => {
  const area = await taxedArea();
  for (const running of [await siteIn(area), await siteIn(area), await siteIn(area)]) await makeAcceptedCollection(office, running.site, [count(running.machine, '10.03', '0.00')]);
  await issueMonth(api, (await closeMonth(api, MARCH)).id);
  const worksheet = await worksheetOf(area);
  expectToAddUp(worksheet);
  expect(worksheet).toMatchObject({ tax: usd('1.30'), booked: usd('1.29'), payable: usd('1.29'), differences: [{ cause: 'rounding', amount: usd('0.01') }] });

  const made = (await office.post(returnsOf(area), filing(worksheet, { reference: 'DR-1' })).expect(201)).body as TaxReturnRecord;
  expect(made).toMatchObject({ position: 1, kind: 'original', tax: usd('1.30'), taxChange: usd('1.30'), reference: 'DR-1', filedOn: '2026-05-01' });
  expect(await balances(area)).toEqual({ 'tax-payable': '0.00', 'tax-difference': '0.01', 'tax-due': '-1.30' });
  const again = await worksheetOf(area);
  expect(again).toMatchObject({ next: null, payable: usd('0.00'), filed: { position: 1, taxSince: usd('0.00'), bookedSince: usd('0.00') } });
  expect((await office.post(returnsOf(area), filing(again)).expect(409)).body.code).toBe('wrong-state');
  const { figures } = (await office.get(`${returnsOf(area)}/${made.id}`).expect(200)).body as FiledTaxReturn;
  expect(figures).toMatchObject({ tax: usd('1.30'), machines: worksheet.machines, sites: worksheet.sites });
});

it('is an amended return after a late count, and a booking once that is settled', async () => {
  const area = await taxedArea();
  const { site, machine } = await siteIn(area);
  await makeAcceptedCollection(office, site, [count(machine, '104.50', '0.00')]);
  await issueMonth(api, (await closeMonth(api, MARCH)).id);
  await office.post(returnsOf(area), filing(await worksheetOf(area))).expect(201);

  await makeAcceptedCollection(office, site, [count(machine, '209.00', '0.00')], { happenedAt: moment('2026-03-20') });
  const late = await worksheetOf(area);
  expectToAddUp(late);
  expect(late).toMatchObject({ tax: usd('13.50'), booked: usd('4.50'), next: 'amended', filed: { taxSince: usd('9.00') }, differences: [{ cause: 'not-settled', amount: usd('9.00') }] });
  const amended = (await office.post(returnsOf(area), filing(late)).expect(201)).body as TaxReturnRecord;
  expect(amended).toMatchObject({ position: 2, kind: 'amended', taxChange: usd('9.00'), bookedChange: usd('0.00') });
  expect(await balances(area)).toEqual({ 'tax-payable': '0.00', 'tax-difference': '9.00', 'tax-due': '-13.50' });

  await issueMonth(api, (await closeMonth(api, '2026-04-01')).id);
  const settled = await worksheetOf(area);
  expectToAddUp(settled);
  expect(settled).toMatchObject({ tax: usd('13.50'), booked: usd('13.50'), next: 'booking', differences: [] });
  expect((await office.post(returnsOf(area), filing(settled)).expect(201)).body).toMatchObject({ kind: 'booking', taxChange: usd('0.00'), bookedChange: usd('9.00') });
  expect(await balances(area)).toEqual({ 'tax-payable': '0.00', 'tax-difference': '0.00', 'tax-due': '-13.50' });
  const { items } = (await office.get(returnsOf(area)).expect(200)).body as { items: TaxReturnRecord[] };
  expect(items.map(({ position, kind }) => [position, kind])).toEqual([[3, 'booking'], [2, 'amended'], [1, 'original']]);
});

it('knows takings below zero, weeks over the end of the month, and sites that file themselves', async () => {
  const area = await taxedArea({ document: { ...document, method: 'on-takings', rounding: 'apart', components: [{ id: 'city', title: 'City', ratePercent: '10', machineKinds: 'all' }] } });
  const below = await siteIn(area);
  const refunds = [{ machineTag: below.machine['tag'], refundedOn: '2026-03-04', amount: usd('30.00'), paidBy: 'operator' }];
  await makeAcceptedCollection(office, below.site, [count(below.machine, '10.00', '0.00')], { refunds });
  const party = await makeParty(office);
  const weekly = await siteIn(area, {}, { partyId: party.id, terms: plainTerms({ partyId: party.id, cycle: { kind: 'week', startsOnWeekday: 1 } }) });
  await makeAcceptedCollection(office, weekly.site, [count(weekly.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-31') });
  const other = await makeParty(office);
  const files = await siteIn(area, {}, { partyId: other.id, terms: { ...plainTerms({ partyId: other.id }), tax: { filedBy: 'site', borneBy: 'all' } } });
  await makeAcceptedCollection(office, files.site, [count(files.machine, '500.00', '0.00')]);
  await issueMonth(api, (await closeMonth(api, MARCH)).id);
  const started = (await office.post('/v1/closes', { cycle: 'week', startsOn: '2026-03-30' }).expect(202)).body as { id: string };
  await api.operator.work();
  await issueMonth(api, started.id);

  const worksheet = await worksheetOf(area);
  expectToAddUp(worksheet);
  expect(worksheet).toMatchObject({ tax: usd('8.00'), booked: usd('0.00') });
  expect(worksheet.differences.map(({ cause, siteCode, amount }) => [cause, siteCode, amount.amount])).toEqual([['negative-bases', null, '-2.00'], ['timing', weekly.site['code'], '10.00']]);
  const april = await worksheetOf(area, '2026-04');
  expectToAddUp(april);
  expect(april).toMatchObject({ tax: usd('0.00'), booked: usd('10.00'), differences: [{ cause: 'timing', amount: usd('-10.00') }] });
  // Both months together are what the journal holds.
  expect(await balances(area)).toEqual({ 'tax-payable': '-10.00' });
});

it('asks for a tax per machine where it stands when it falls due, whether or not it was emptied', async () => {
  const yearly = {
    method: 'fixed', title: 'Licence', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base', per: 'year',
    timing: { kind: 'when-due', month: 3, day: 15, onPlacement: true }, components: [{ id: 'licence', title: 'Licence', amount: '35.00', placedLater: null }],
  };
  const area = await taxedArea({ document: yearly });
  const { site } = await siteIn(area);
  const later = await makeMachine(office);
  await makePlacement(office, { machineId: later.id, siteId: site.id, placedOn: '2026-04-02' });
  expect(await worksheetOf(area)).toMatchObject({ tax: usd('35.00'), differences: [{ cause: 'not-settled' }] });
  const april = await worksheetOf(area, '2026-04');
  expect(april.machines.map((row) => [row.machineTag, row.tax.amount])).toEqual([[later['tag'], '35.00']]);
});

it('is downloaded as CSV with strict decimals, and no name that a spreadsheet would run', async () => {
  const area = await taxedArea();
  const { site, machine } = await siteIn(area, { name: '=HYPERLINK("x")' });
  const refunds = [{ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('30.00'), paidBy: 'operator' }];
  await makeAcceptedCollection(office, site, [count(machine, '10.00', '0.00')], { refunds });
  const answer = await office.get(`/v1/tax-areas/${area.id}/worksheet/export?month=2026-03`).expect(200);
  expect(answer.headers['content-type']).toContain('text/csv');
  expect(answer.headers['content-disposition']).toContain(`tax-${area['code'] as string}-2026-03.csv`);
  const lines = answer.text.split('\r\n');
  expect(lines[0]).toBe('level,area,month,tax_code,tax_title,component,site,site_name,machine,machine_kind,cause,currency,base,tax,booked');
  expect(lines).toContain(`site,${area['code'] as string},2026-03,,,,${site['code'] as string},"'=HYPERLINK(""x"")",,,,USD,,0.00,0.00`);
  expect(lines).toContain(`component,${area['code'] as string},2026-03,SALES,Sales tax,State,,,,,,USD,-20.00,0.00,`);
  expect(lines.at(-1)).toBe('');
});

describe('is refused', () => {
  it('for an area without a tax in the month, and one of another operator', async () => {
    const area = await taxedArea({ validFrom: '2026-04-01' });
    expect((await office.get(`/v1/tax-areas/${area.id}/worksheet?month=2026-03`).expect(409)).body.code).toBe('no-tax-in-force');
    expect(errorsOf(await office.get(`/v1/tax-areas/${area.id}/worksheet?month=2026-13`).expect(400))).toEqual(['month wrong-format', 'month not-valid']);
    await api.other.as('owner').get(`/v1/tax-areas/${area.id}/worksheet?month=2026-04`).expect(404);
  });

  it('before the month is over, and with figures that have changed since', async () => {
    const area = await taxedArea();
    const { site, machine } = await siteIn(area);
    const read = await worksheetOf(area);
    expect(errorsOf(await office.post(returnsOf(area), filing(read, { filedOn: '2026-03-31' })).expect(422))).toEqual(['#/filedOn month-not-over']);
    await makeAcceptedCollection(office, site, [count(machine)]);
    expect((await office.post(returnsOf(area), filing(read)).expect(409)).body.code).toBe('figures-changed');
    await office.post(returnsOf(area), filing(await worksheetOf(area))).expect(201);
  });

  it('never changed: the database keeps what was filed', async () => {
    const area = await taxedArea();
    await office.post(returnsOf(area), filing(await worksheetOf(area))).expect(201);
    await expect(api.operator.inBooks((tx) => tx.sql('UPDATE tax_return SET tax_minor = 1'))).rejects.toThrow(/permission denied|append-only|cannot/i);
    await expect(api.operator.inBooks((tx) => tx.sql('DELETE FROM tax_return'))).rejects.toThrow(/permission denied|append-only|cannot/i);
  });
});

it('carries a tax below zero into the next month, by what was filed', async () => {
  const area = await taxedArea({ document: { ...document, negative: 'carry', components: [{ id: 'state', title: 'State', ratePercent: '25' }] } });
  const { site, machine } = await siteIn(area);
  const refunds = [{ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('60.00'), paidBy: 'operator' }];
  await makeAcceptedCollection(office, site, [count(machine, '10.00', '0.00')], { refunds });
  await makeAcceptedCollection(office, site, [count(machine, '125.00', '0.00')], { happenedAt: moment('2026-04-10') });
  const march = await worksheetOf(area);
  expect(march).toMatchObject({ tax: usd('0.00'), rules: [{ base: usd('-50.00'), carriedIn: usd('0.00'), carriedOut: usd('-10.00') }] });
  expect((await worksheetOf(area, '2026-04')).tax).toEqual(usd('25.00'));
  await office.post(returnsOf(area), filing(march)).expect(201);
  const april = await worksheetOf(area, '2026-04');
  expectToAddUp(april);
  expect(april).toMatchObject({ tax: usd('15.00'), rules: [{ carriedIn: usd('-10.00'), carriedOut: usd('0.00') }] });
});

it('reads two periods of an agreement in one month, of which the first changed after it was settled', async () => {
  const area = await taxedArea();
  const party = await makeParty(office);
  const { site, machine } = await siteIn(area, {}, { partyId: party.id, terms: plainTerms({ partyId: party.id, cycle: { kind: 'four-weeks', anchor: '2025-01-06' } }) });
  await makeAcceptedCollection(office, site, [count(machine, '50.00', '0.00')], { happenedAt: moment('2026-03-10') });
  const { id } = (await office.post('/v1/closes', { cycle: 'four-weeks', startsOn: '2026-03-02' }).expect(202)).body as Made;
  await api.operator.work();
  await issueMonth(api, id);
  await makeAcceptedCollection(office, site, [count(machine, '20.00', '0.00')], { happenedAt: moment('2026-03-12') });
  await makeAcceptedCollection(office, site, [count(machine, '30.00', '0.00')], { happenedAt: moment('2026-03-31') });
  const worksheet = await worksheetOf(area);
  expectToAddUp(worksheet);
  // 100.00 inside 4.5 % is 95.69 and 4.31; 50.00 of it, 2.15, is settled.
  expect(worksheet).toMatchObject({ tax: usd('4.31'), booked: usd('2.15') });
});

const seed = process.env['SOAK_SEED'] ?? String(Date.now());
it(`keeps returns, differences and the tax account together, whatever came when (seed ${seed})`, async () => {
  const chance = chanceFrom(seed);
  const area = await taxedArea();
  const places = [await siteIn(area), await siteIn(area)];
  const party = await makeParty(office);
  places.push(await siteIn(area, {}, { partyId: party.id, terms: plainTerms({ partyId: party.id, cycle: { kind: 'four-weeks', anchor: '2025-01-06' } }) }));
  const visits = async (month: string, visitCount: number): Promise<void> => {
    for (let index = 0; index < visitCount; index += 1) {
      const { site, machine } = chance.pick(places);
      const refund = { machineTag: machine['tag'], refundedOn: `${month}-01`, amount: usd(`${chance.between(1, 90)}.35`), paidBy: 'operator' };
      const happenedAt = moment(`${month}-${String(chance.between(2, 27)).padStart(2, '0')}`);
      await makeAcceptedCollection(office, site, [count(machine, `${chance.between(0, 80)}.${chance.between(10, 99)}`, '0.00')], { happenedAt, refunds: chance.percent(30) ? [refund] : [] });
    }
  };
  const close = async (cycle: string, startsOn: string): Promise<void> => {
    const started = await office.post('/v1/closes', { cycle, startsOn });
    if (started.status !== 202) return;
    await api.operator.work();
    await issueMonth(api, (started.body as { id: string }).id);
  };
  const fileAll = async (months: readonly string[]): Promise<void> => {
    for (const month of months) {
      const worksheet = await worksheetOf(area, month);
      expectToAddUp(worksheet);
      if (worksheet.next !== null) await office.post(returnsOf(area), filing(worksheet)).expect(201);
    }
  };

  // Takings of January in four weeks that end in February: timing, whatever else comes.
  const third = places[2];
  if (third !== undefined) await makeAcceptedCollection(office, third.site, [count(third.machine, '50.00', '0.00')], { happenedAt: moment('2026-01-20') });
  await visits('2026-01', 6);
  await close('month', '2026-01-01');
  await fileAll(['2026-01']);
  await visits('2026-01', 2);
  await visits('2026-02', 6);
  for (const startsOn of ['2025-12-08', '2026-01-05', '2026-02-02']) await close('four-weeks', startsOn);
  await close('month', '2026-02-01');
  await fileAll(['2026-01', '2026-02']);
  await visits('2026-02', 2);
  await visits('2026-03', 6);
  for (const startsOn of ['2026-03-02', '2026-03-30']) await close('four-weeks', startsOn);
  await close('month', MARCH);

  const months = ['2025-12', '2026-01', '2026-02', '2026-03', '2026-04'];
  const sheets = await Promise.all(months.map((month) => worksheetOf(area, month)));
  // Months and four weeks side by side: there is something to explain.
  expect(sheets.flatMap((sheet) => sheet.differences.map((each) => each.cause))).toContain('timing');
  const total = (amounts: { amount: string }[]) => amounts.reduce((sum, each) => sum + minor(each), 0n);
  const moved = total(sheets.flatMap(({ filed }) => (filed === null ? [] : [filed.booked])));
  // What settlements booked for all months, less what returns took over, is what the account of the journal holds.
  expect(total(sheets.map((sheet) => sheet.booked)) - moved).toBe(minor(sheets[0]?.payable ?? { amount: '' }));
  await fileAll(months);
  const held = await balances(area);
  expect(held['tax-payable']).toBe('0.00');
  expect(minor({ amount: held['tax-due'] ?? '' })).toBe(-total(sheets.map((sheet) => sheet.tax)));
  expect(minor({ amount: held['tax-difference'] ?? '0.00' })).toBe(total(sheets.map((sheet) => sheet.difference)));
});
