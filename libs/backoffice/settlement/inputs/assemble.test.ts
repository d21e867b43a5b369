import { localDate } from '#domain/calendar/local-date';
import { noCarries } from '#domain/settlement/carries';
import { shares, terms, version } from '#tests/support/settlement-inputs';
import { settlementInputs, type PeriodFacts, type SettlementFacts } from './assemble';
import type { CountRow, PlacementRow } from './facts.sql';

let serial = 0;

/** A count in the box's order; amounts do not matter here. */
function countRow(changes: Partial<CountRow> & { local_date: string }): CountRow {
  serial += 1;
  return {
    window: 1n,
    id: `count-${String(serial).padStart(4, '0')}`,
    collection_id: `visit-${serial}`,
    placement_id: 'p-A',
    machine_id: 'm-A',
    accounting_date: changes.local_date,
    removal: false,
    coin_minor: 100n,
    note_minor: 0n,
    tokens: {},
    metered_minor: null,
    ...changes,
  };
}

function placementRow(changes: Partial<PlacementRow> = {}): PlacementRow {
  return { window: 1n, placement_id: 'p-A', placed_on: '2026-01-10', removed_on: null, machine_id: 'm-A', tag: 'A', kind: 'arcade', ...changes };
}

function march(changes: Partial<PeriodFacts> = {}): PeriodFacts {
  return {
    periodId: 'period',
    from: localDate('2026-03-01'),
    until: localDate('2026-04-01'),
    placements: [placementRow()],
    counts: [],
    slips: [],
    records: [],
    previousCountOn: () => undefined,
    ...changes,
  };
}

function inputsOf(current: PeriodFacts, more: Partial<SettlementFacts> = {}) {
  return settlementInputs({
    agreementId: 'agreement',
    siteId: 'site',
    currency: 'USD',
    kind: 'regular',
    agreement: { versions: [version('2025-01-01')], taxRules: [], limits: [] },
    current,
    earlier: [],
    carriesIn: noCarries,
    carriedItems: [],
    handedCash: [],
    onAccount: [],
    advances: [],
    ...more,
  });
}

const covered = (current: PeriodFacts): string[] => inputsOf(current).current.counts.map((count) => `${count.coveredFrom} ${count.coveredUntil}`);

describe('the days that a count covers', () => {
  it('begin on the first day of the placement, and end before its own', () => {
    expect(covered(march({ counts: [countRow({ local_date: '2026-03-10' })] }))).toEqual(['2026-01-10 2026-03-10']);
  });

  it('begin with the machine\'s previous count at the placement, wherever that was booked', () => {
    const counts = [countRow({ local_date: '2026-03-10' }), countRow({ local_date: '2026-03-20' })];
    expect(covered(march({ counts, previousCountOn: () => localDate('2026-02-24') }))).toEqual(['2026-02-24 2026-03-10', '2026-03-10 2026-03-20']);
  });

  it('include the day of a removal', () => {
    expect(covered(march({ counts: [countRow({ local_date: '2026-03-10', removal: true })] }))).toEqual(['2026-01-10 2026-03-11']);
  });

  it('are the same for the parts of one emptying', () => {
    const parts = ['first', 'second'].map(() => countRow({ local_date: '2026-03-10', collection_id: 'one visit' }));
    expect(covered(march({ counts: parts }))).toEqual(['2026-01-10 2026-03-10', '2026-01-10 2026-03-10']);
  });

  it('are none for a second visit on one day', () => {
    const counts = [countRow({ local_date: '2026-03-10' }), countRow({ local_date: '2026-03-10' })];
    expect(covered(march({ counts }))).toEqual(['2026-01-10 2026-03-10', '2026-03-10 2026-03-10']);
  });

  it('end where a count begins that is booked to another period, which has no part in this one', () => {
    const counts = [
      countRow({ local_date: '2026-03-30', accounting_date: '2026-04-01' }),
      countRow({ local_date: '2026-04-02', accounting_date: '2026-03-31' }),
    ];
    expect(covered(march({ counts }))).toEqual(['2026-03-30 2026-04-02']);
  });

  it('are kept apart for the placements of one machine', () => {
    const placements = [placementRow({ removed_on: '2026-03-05' }), placementRow({ placement_id: 'p-A2', placed_on: '2026-03-15' })];
    const counts = [countRow({ local_date: '2026-03-05', removal: true }), countRow({ local_date: '2026-03-25', placement_id: 'p-A2' })];
    expect(covered(march({ placements, counts }))).toEqual(['2026-01-10 2026-03-06', '2026-03-15 2026-03-25']);
    expect(inputsOf(march({ placements, counts })).current.machines).toMatchObject([{ id: 'm-A', placements: [{ id: 'p-A' }, { id: 'p-A2' }] }]);
  });
});

describe('the versions of the terms', () => {
  const versions = [version('2025-01-01'), version('2026-02-01'), version('2026-03-15', { split: { kind: 'shares', shares: shares(['operator', '60'], ['site', '40']) } }), version('2026-04-01')];
  const startsOf = (all: typeof versions): string[] => inputsOf(march(), { agreement: { versions: all, taxRules: [], limits: [] } }).current.versions.map((each) => each.startsOn);

  it('are those in force on a day of the period', () => {
    expect(startsOf(versions)).toEqual(['2026-02-01', '2026-03-15']);
  });

  it('begin with the first there is, where none was in force yet', () => {
    expect(startsOf(versions.slice(2))).toEqual(['2026-03-15']);
    expect(startsOf(versions.slice(3))).toEqual(['2026-04-01']);
  });
});

it('says who paid a refund by the party of the terms in force on its day', () => {
  const parties = [{ id: 'operator', role: 'operator' } as const, { id: 'new owner', role: 'site' } as const];
  const versions = [version('2025-01-01'), { id: 'v2', startsOn: localDate('2026-03-15'), terms: terms({ parties }) }];
  const slip = (accounting_date: string, paid_by: 'site' | 'operator') => ({
    window: 1n, id: `slip-${accounting_date}-${paid_by}`, collection_id: 'visit', placement_id: 'p-A', machine_id: 'm-A', accounting_date, refunded_on: accounting_date, amount_minor: 5n, paid_by,
  });
  const slips = [slip('2026-03-20', 'site'), slip('2026-03-10', 'site'), slip('2026-03-20', 'operator')];
  const { refundSlips } = inputsOf(march({ slips }), { agreement: { versions, taxRules: [], limits: [] } }).current;
  expect(refundSlips.map((each) => [each.accountingDate, each.paidBy])).toEqual([['2026-03-10', 'site'], ['2026-03-20', 'operator'], ['2026-03-20', 'new owner']]);
});

it('gives one document whatever order the rows came in', () => {
  const counts = [countRow({ local_date: '2026-03-10' }), countRow({ local_date: '2026-03-12', placement_id: 'p-B', machine_id: 'm-B' })];
  const handed = ['h-2', 'h-1'].map((id) => ({ window: 1n, id, collection_id: 'visit', party_id: 'site', local_date: '2026-03-10', amount_minor: 5n }));
  const one = inputsOf(march({ counts }), { handedCash: handed });
  expect(inputsOf(march({ counts: counts.toReversed() }), { handedCash: handed.toReversed() })).toEqual(one);
});

describe('what meters imply', () => {
  const metered = (basis: 'counted' | 'metered'): (bigint | null)[] =>
    inputsOf(march({ counts: [countRow({ local_date: '2026-03-10', metered_minor: 120n })] }), { agreement: { versions: [version('2025-01-01', { basis })], taxRules: [], limits: [] } }).current.counts.map(
      ({ meteredMinor }) => meteredMinor,
    );

  it('goes into the document, and so onto the statement, only where the terms go by it', () => {
    expect(metered('metered')).toEqual([120n]);
    expect(metered('counted')).toEqual([null]);
  });
});
