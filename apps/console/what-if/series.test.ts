import type { WhatIfAmounts, WhatIfAnswer } from '../api/shapes';
import { seriesOf } from './series';

const amounts = (before: string, after: string, difference: string, currency = 'USD'): WhatIfAmounts => ({
  before: { amount: before, currency }, after: { amount: after, currency }, difference: { amount: difference, currency },
});
const none = (currency = 'USD') => amounts('0.00', '0.00', '0.00', currency);
type Party = WhatIfAnswer['parties'][number];
const party = (partyId: string, role: Party['role'], periods: Party['periods'], total: WhatIfAmounts, currency = 'USD'): Party => ({
  partyId, role, name: partyId, currency, shares: total, charges: none(currency), borne: none(currency), total, periods,
});
const january = { startsOn: '2026-01-01', endsBefore: '2026-02-01' };
const week = { startsOn: '2026-01-26', endsBefore: '2026-02-02' };

const parties = [
  party('Operator', 'operator', [{ ...january, total: amounts('50.00', '40.00', '-10.00') }], amounts('50.00', '40.00', '-10.00')),
  party('Quay', 'site', [{ ...january, total: amounts('50.00', '55.00', '5.00') }], amounts('50.00', '55.00', '5.00')),
  party('Mill', 'site', [{ ...week, total: amounts('10.00', '15.00', '5.00') }], amounts('10.00', '15.00', '5.00')),
  party('Kade', 'site', [{ ...january, total: amounts('7.00', '9.00', '2.00', 'EUR') }], amounts('7.00', '9.00', '2.00', 'EUR'), 'EUR'),
];

describe('series of differences', () => {
  it('are one for each party and its own periods at one site', () => {
    expect(seriesOf(parties, { byParty: true }).map(({ name, periods }) => [name, periods.map(({ startsOn }) => startsOn)])).toEqual([
      ['Operator', ['2026-01-01']], ['Quay', ['2026-01-01']], ['Mill', ['2026-01-26']], ['Kade', ['2026-01-01']],
    ]);
  });

  it('are one for each role and currency by month at many, and currencies never meet', () => {
    expect(seriesOf(parties, { byParty: false }).map(({ role, currency, name, total, periods }) => [role, currency, name, total.difference.amount, periods])).toEqual([
      ['site', 'EUR', null, '2.00', [{ ...january, total: amounts('7.00', '9.00', '2.00', 'EUR') }]],
      ['operator', 'USD', 'Operator', '-10.00', [{ ...january, total: amounts('50.00', '40.00', '-10.00') }]],
      ['site', 'USD', null, '10.00', [{ ...january, total: amounts('60.00', '70.00', '10.00') }]],
    ]);
  });
});
