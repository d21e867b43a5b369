import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { Compared } from '#contracts/variance';
import type { TenantTransaction } from '#database/tenant';
import { aloneOf } from '#domain/variance/compare';
import type { Tolerance } from '#domain/variance/tolerance';
import { groupBy } from '../settlement/inputs/group-by';
import { selectCompared, type ComparedRow } from './read-collection.sql';
import { toleranceOn } from './rule-set';
import { selectRuleSets } from './rule-set.sql';
import { showCompared } from './to-flag';

/**
 * The boxes of an accepted collection, or one of them, beside all that says what they held: meters, second counters, the count
 * at the machine, and the price of the plays. Two statements.
 */
export async function readCompared(tx: TenantTransaction, box: { readonly collectionId: string; readonly placementId: string | null }): Promise<Compared> {
  const rows = await selectCompared(tx, box);
  const ruleSets = rows.length === 0 ? [] : await selectRuleSets(tx);
  const toleranceOfRow = (row: ComparedRow): Tolerance | null => toleranceOn(ruleSets, { currency: row.currency, day: row.accounting_date }).tolerance;
  return {
    items: rows.map((row) => toItem(row, toleranceOfRow(row))),
    witnesses: [...groupBy(rows, (row) => row.machine_id).values()].flatMap((own) => (own[0] === undefined ? [] : playsOf(own, toleranceOfRow(own[0])))),
  };
}

function toItem(row: ComparedRow, tolerance: Tolerance | null): Compared['items'][number] {
  return {
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    tender: row.tender,
    ...showCompared({ expectedMinor: row.expected_minor, countedMinor: row.counted_minor, currency: row.currency }),
    unknown: row.unknown,
    source: row.source,
    since: row.since_at === null ? null : formatInstant(row.since_at),
    counts: row.counts,
    outOfTolerance: row.out_of_tolerance,
    fieldCount: fieldCountOf(row, tolerance),
    secondCounter: secondCounterOf(row, tolerance),
  };
}

/** One count at the machine cannot be held beside several emptyings that were compared together. */
function fieldCountOf(row: ComparedRow, tolerance: Tolerance | null): Compared['items'][number]['fieldCount'] {
  const { field_minor: fieldMinor, expected_minor: expectedMinor, counted_minor: countedMinor, counts, currency } = row;
  if (fieldMinor === null || counts > 1) return null;
  const counted = moneyOf(fieldMinor, currency);
  if (expectedMinor === null || tolerance === null) return { counted, result: null };
  const witnesses = [{ name: 'meters-differ', minor: expectedMinor }, { name: 'field-count-differs', minor: fieldMinor }, { name: 'room-count-differs', minor: countedMinor }] as const;
  return { counted, result: aloneOf<'meters-differ' | 'field-count-differs' | 'room-count-differs'>(witnesses, tolerance) };
}

function secondCounterOf(row: ComparedRow, tolerance: Tolerance | null): Compared['items'][number]['secondCounter'] {
  const { second_expected_minor: secondMinor, counters_apart_minor: apartMinor, expected_minor: expectedMinor, counted_minor: countedMinor, currency } = row;
  if (secondMinor === null || apartMinor === null || expectedMinor === null) return null;
  const witnesses = [{ name: 'first-counter-differs', minor: expectedMinor }, { name: 'second-counter-differs', minor: secondMinor }, { name: 'counted-differs', minor: countedMinor }] as const;
  return {
    expected: moneyOf(secondMinor, currency),
    apart: moneyOf(apartMinor, currency),
    tooFarApart: row.counters_too_far,
    result: tolerance === null ? null : aloneOf<'first-counter-differs' | 'second-counter-differs' | 'counted-differs'>(witnesses, tolerance),
  };
}

/** Plays are paid in coins and notes alike, so the three are compared over both; this is a witness, and no variance. */
function playsOf(rows: readonly ComparedRow[], tolerance: Tolerance | null): Compared['witnesses'] {
  const [first] = rows;
  const playsMinor = rows.find((row) => row.plays_minor !== null)?.plays_minor ?? null;
  if (first === undefined || playsMinor === null) return [];
  const known = rows.flatMap((row) => (row.expected_minor === null ? [] : [{ expectedMinor: row.expected_minor, countedMinor: row.counted_minor }]));
  const spans = new Set(rows.map((row) => row.since_at?.getTime()));
  // Only what counts over the same time can be compared.
  if (tolerance === null || known.length < rows.length || spans.size > 1) return [];
  const expectedMinor = known.reduce((sum, row) => sum + row.expectedMinor, 0n);
  const countedMinor = known.reduce((sum, row) => sum + row.countedMinor, 0n);
  const witnesses = [{ name: 'cash-meters-differ', minor: expectedMinor }, { name: 'plays-differ', minor: playsMinor }, { name: 'counted-differs', minor: countedMinor }] as const;
  const money = (minor: bigint) => moneyOf(minor, first.currency);
  const result = aloneOf<'cash-meters-differ' | 'plays-differ' | 'counted-differs'>(witnesses, tolerance);
  return [{ machineId: first.machine_id, machineTag: first.machine_tag, expected: money(expectedMinor), plays: money(playsMinor), counted: money(countedMinor), result }];
}
