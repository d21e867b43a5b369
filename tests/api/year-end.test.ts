import type { YearEnd } from '#contracts/year-end';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-02-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  office = api.operator.as('bookkeeper');
});

const yearEnd = async (year: number): Promise<YearEnd> => (await office.get(`/v1/year-end?year=${year}`).expect(200)).body as YearEnd;

/**
 * By hand, the site has 40 % of net takings. November: 2,000.00 less 20.00 refunded by the site, so 792.00 of share and 20.00 laid out;
 * 100.00 handed over on 10 November, 500.00 transferred on 15 December, the rest, 212.00, on 10 January. In 2025 it got 600.00, of which
 * 20.00 are the refund and 580.00 rents: below 600.00. In 2026 it got 212.00, and 30.00 on account that no settlement has set off.
 */
it('counts by the day of payment, cash included and refunds not, and says what reaches the threshold and whose number is missing', async () => {
  const running = await makeRunningSite(office);
  const { site, machine, party, agreement } = running;
  const machineTag = machine['tag'];
  const more = {
    happenedAt: moment('2025-11-10'),
    refunds: [{ machineTag, refundedOn: '2025-11-09', amount: usd('20.00'), paidBy: 'site' }],
    cashHanded: [{ amount: usd('100.00'), acknowledgedBy: 'Ana' }],
  };
  await makeAcceptedCollection(office, site, [count(machine, '2000.00', '0.00')], more);
  await issueMonth(api, (await closeMonth(api, '2025-11-01')).id);
  const pay = (paidOn: string, amount: string, extra: object = {}) => office.post('/v1/payments', { agreementId: agreement.id, amount: usd(amount), method: 'bank', paidOn, ...extra }).expect(201);
  await pay('2025-12-15', '500.00');
  await pay('2026-01-10', '212.00');
  await pay('2026-01-20', '30.00', { onAccount: true });

  expect(await yearEnd(2025)).toMatchObject({
    missingNumbers: 0,
    payees: [{ partyId: party.id, rents: usd('580.00'), passedOn: usd('20.00'), partnership: usd('0.00'), notSettled: usd('0.00'), threshold: usd('600.00'), reportable: false, taxpayerNumber: null }],
  });
  expect(await yearEnd(2026)).toMatchObject({ payees: [{ rents: usd('212.00'), passedOn: usd('0.00'), notSettled: usd('30.00'), threshold: usd('2000.00'), reportable: false }] });
  expect(await yearEnd(2024)).toMatchObject({ payees: [] });

  // 20.00 more in 2025 reach its threshold, exactly: they are what was transferred in January before.
  await pay('2025-12-20', '20.00', { onAccount: true });
  expect(await yearEnd(2025)).toMatchObject({ missingNumbers: 1, payees: [{ rents: usd('600.00'), reportable: true }] });
  await office.post('/v1/taxpayer-numbers', { partyId: party.id, number: '12-3456789' }).expect(201);
  const { missingNumbers, payees, cautions } = await yearEnd(2025);
  expect([missingNumbers, payees[0]?.taxpayerNumber]).toEqual([0, '6789']);
  expect(cautions.join(' ')).toMatch(/not a tax return/);
  const stored = await api.operator.inBooks(async (tx) => JSON.stringify([(await tx.sql('SELECT * FROM taxpayer_number')).rows, (await tx.sql('SELECT * FROM audit_entry')).rows]));
  expect(stored).not.toContain('3456789');
  const csv = (await office.get('/v1/year-end/export?year=2025').expect(200)).text.split('\r\n');
  expect(csv[1]).toContain(',12-3456789,no,yes,USD,600.00,600.00,0.00,20.00,0.00');
});

it('refuses a number that is none, and one of nobody', async () => {
  const running = await makeRunningSite(office);
  const record = (partyId: string, number: string) => office.post('/v1/taxpayer-numbers', { partyId, number });
  expect(errorsOf(await record(running.party.id, '12--3456789').expect(400))[0]).toMatch('#/number');
  expect(errorsOf(await record(running.site.id, '123456789').expect(422))).toEqual(['#/partyId unknown']);
});
