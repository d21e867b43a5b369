import { localDate } from '#domain/calendar/local-date';
import { paidInYear, type Owed, type Received } from './reportable';
import { thresholdOf } from './threshold';

const owed = (incomeMinor: bigint, passedOnMinor = 0n, arrangement: Owed['arrangement'] = 'machine-lease'): Owed => ({ arrangement, incomeMinor, passedOnMinor });
const got = (on: string, amountMinor: bigint): Received => ({ on: localDate(on), amountMinor });
const nothing = { rentsMinor: 0n, partnershipMinor: 0n, passedOnMinor: 0n, notSettledMinor: 0n };

/**
 * By hand. November: share 500.00, refunds 20.00 laid out, of which 120.00 were kept in November and 400.00 transferred on 10 December.
 * December: share 300.00; 50.00 handed on 20 December, 100.00 set off against an advance on 31 December, 150.00 transferred on 8 January.
 * Paid in the old year: 120 + 400 + 50 + 100 = 670.00; less the refunds, 650.00 are rents. In the new year: 150.00.
 */
it('counts share and charges by the day of payment, kept, handed and set off included, refunds left out', () => {
  const account = {
    owed: [owed(50_000n, 2_000n), owed(30_000n)],
    received: [got('2026-01-08', 15_000n), got('2025-11-15', 12_000n), got('2025-12-10', 40_000n), got('2025-12-20', 5_000n), got('2025-12-31', 10_000n)],
  };
  expect(paidInYear(account, 2025)).toEqual({ ...nothing, rentsMinor: 65_000n, passedOnMinor: 2_000n });
  expect(paidInYear(account, 2026)).toEqual({ ...nothing, rentsMinor: 15_000n });
  expect(paidInYear(account, 2024)).toEqual(nothing);
});

it('says apart what was paid and is not settled yet, until a settlement says what it was for', () => {
  const received = [got('2025-12-20', 8_000n)];
  expect(paidInYear({ owed: [owed(5_000n)], received }, 2025)).toEqual({ ...nothing, rentsMinor: 5_000n, notSettledMinor: 3_000n });
  expect(paidInYear({ owed: [owed(5_000n), owed(9_000n)], received }, 2025)).toEqual({ ...nothing, rentsMinor: 8_000n });
});

it('keeps the share of a partner out of rents, also where an agreement changed its kind', () => {
  const account = { owed: [owed(5_000n, 0n, 'joint-venture'), owed(4_000n, 0n, 'space-lease')], received: [got('2025-06-01', 7_000n)] };
  expect(paidInYear(account, 2025)).toEqual({ ...nothing, partnershipMinor: 5_000n, rentsMinor: 2_000n });
});

it('makes up a share below zero by what is owed next, or by what the payee paid back', () => {
  const negative = [owed(-3_000n), owed(10_000n)];
  expect(paidInYear({ owed: negative, received: [got('2025-06-01', 7_000n)] }, 2025)).toEqual({ ...nothing, rentsMinor: 7_000n });
  expect(paidInYear({ owed: negative, received: [got('2025-05-01', -3_000n), got('2025-06-01', 10_000n)] }, 2025)).toEqual({ ...nothing, rentsMinor: 10_000n });
});

/** By hand: 500.00 handed in March for a share of 300.00; the 200.00 too much came back in May. A share of 400.00 of December is paid in January. */
it('counts no money that the payee paid back, neither as not settled nor for what is settled later', () => {
  const received = [got('2025-05-10', -20_000n), got('2025-03-10', 50_000n)];
  expect(paidInYear({ owed: [owed(30_000n)], received }, 2025)).toEqual({ ...nothing, rentsMinor: 30_000n });
  const later = { owed: [owed(30_000n), owed(40_000n)], received: [...received, got('2026-01-10', 40_000n)] };
  expect(paidInYear(later, 2025)).toEqual({ ...nothing, rentsMinor: 30_000n });
  expect(paidInYear(later, 2026)).toEqual({ ...nothing, rentsMinor: 40_000n });
});

/** By hand: 100.00 of November and 100.00 of January; 150.00 came back in February, all of January's and 50.00 of November's. */
it('takes what came back out of the latest money before it, and only what no share below zero took', () => {
  const received = [got('2025-11-01', 10_000n), got('2026-01-10', 10_000n), got('2026-02-01', -15_000n), got('2026-03-01', 5_000n)];
  expect(paidInYear({ owed: [owed(20_000n)], received }, 2025)).toEqual({ ...nothing, rentsMinor: 5_000n });
  expect(paidInYear({ owed: [owed(20_000n)], received }, 2026)).toEqual({ ...nothing, rentsMinor: 5_000n });
  // 50.00 of it made up for the share below zero, 100.00 are January's.
  expect(paidInYear({ owed: [owed(20_000n), owed(-5_000n)], received }, 2025)).toEqual({ ...nothing, rentsMinor: 10_000n });
});

// 600.00 for payments to 2025; 2,000.00 for 2026 (P.L. 119-21, section 70433; read in secondary sources), indexed after.
it.each([[2025, 60_000n], [2026, 200_000n], [2027, undefined]])('knows the threshold of %i', (year, rentsMinor) => {
  expect(thresholdOf({ country: 'US', currency: 'USD', year })?.rentsMinor).toBe(rentsMinor);
});
