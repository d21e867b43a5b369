import type { AgreementRow, AgreementState } from '../api/shapes';
import { changeInThousandths, difference, isNegative, isZero, negated, unitsOf, type Money } from '../format/money';
import { matches } from '../format/search';

/** What the list can be narrowed to: one state, what a step of the month end is about, or what is not paid. */
export const filters = ['all', 'to-collect', 'to-settle', 'failed', 'draft', 'held', 'reviewed', 'numbered', 'issued', 'unpaid', 'to-receive'] as const;
export type Filter = (typeof filters)[number];

const every: readonly AgreementState[] = ['no-collections', 'open-collections', 'failed', 'ready', 'draft', 'reviewed', 'numbered', 'issued'];
const numbered: readonly AgreementState[] = ['numbered', 'issued'];

const statesOf: Readonly<Record<Filter, readonly AgreementState[]>> = {
  all: every,
  'to-collect': ['no-collections', 'open-collections'],
  'to-settle': ['ready', 'failed'],
  failed: ['failed'],
  draft: ['draft'],
  held: ['draft'],
  reviewed: ['reviewed'],
  numbered: ['numbered'],
  issued: ['issued'],
  unpaid: numbered,
  'to-receive': numbered,
};

/** What a row has to be beyond its state. */
const alsoOf: Readonly<Partial<Record<Filter, (row: AgreementRow) => boolean>>> = {
  held: ({ heldBecause }) => heldBecause !== null,
  unpaid: ({ payment }) => payment !== null && payment.state !== 'paid',
  'to-receive': ({ payment }) => payment !== null && !isZero(payment.toReceive),
};

const passes = (row: AgreementRow, filter: Filter): boolean => statesOf[filter].includes(row.state) && (alsoOf[filter]?.(row) ?? true);

export function filterFrom(text: string | null): Filter {
  return filters.find((each) => each === text) ?? 'all';
}

/** Rows of the filter in which every word of the search occurs, in code or name of the site. */
export function narrowed(rows: readonly AgreementRow[], { filter, search }: { filter: Filter; search: string }): AgreementRow[] {
  return rows.filter((row) => passes(row, filter) && matches(search, [row.siteCode, row.siteName]));
}

/** How many rows each filter would leave. */
export function countsOf(rows: readonly AgreementRow[]): Readonly<Record<Filter, number>> {
  const counts = Object.fromEntries(filters.map((each) => [each, 0])) as Record<Filter, number>;
  for (const row of rows) {
    for (const filter of filters) if (passes(row, filter)) counts[filter] += 1;
  }
  return counts;
}

/** What asks for somebody comes first; then the way to the issued statement. */
export function compareStates(one: AgreementState, other: AgreementState): number {
  return every.indexOf(one) - every.indexOf(other);
}

/** Whether its settlement is not shown to the reader, who has a hand in a count there. */
export function isHeldBack({ settlementId, takings }: Pick<AgreementRow, 'settlementId' | 'takings'>): boolean {
  return settlementId !== null && takings === null;
}

/** Change of the payable against the period before, in thousandths; without one there is nothing to compare with. */
export function changeOf(row: AgreementRow): number | null {
  if (row.payable === null || row.previousPayable === null) return null;
  return changeInThousandths({ now: row.payable, before: row.previousPayable });
}

/** A change of half as much again, or half gone, is worth a look before the draft is reviewed. */
const largeThousandths = 500;

/** So many rows tell what is usual in this period. */
const enoughToCompare = 8;

/**
 * The rows whose change stands out, by agreement: large, and, where there are enough rows to tell, beyond three times the
 * usual distance from the change in the middle. A month with five weeks of collections after one with four raises all.
 */
export function unusualIn(rows: readonly AgreementRow[]): ReadonlySet<string> {
  const changes = rows.flatMap((row) => {
    const change = changeOf(row);
    return change === null ? [] : [{ agreementId: row.agreementId, change }];
  });
  const middle = changes.length < enoughToCompare ? 0 : median(changes.map((each) => each.change));
  const usual = changes.length < enoughToCompare ? 0 : 3 * median(changes.map((each) => Math.abs(each.change - middle)));
  const stands = changes.filter(({ change }) => Math.abs(change) >= largeThousandths && Math.abs(change - middle) >= usual);
  return new Set(stands.map((each) => each.agreementId));
}

/** Takings that changed by less than a twentieth are much as before. */
const muchTheSameThousandths = 50;

/** What an unusual change goes with, as far as the figures of the list tell: differences of earlier periods, or the takings. */
export type Cause = { readonly kind: 'earlier'; readonly amount: Money } | { readonly kind: 'takings'; readonly thousandths: number } | { readonly kind: 'no-takings-before' } | { readonly kind: 'same-takings' };

/** Null where there is nothing to compare. */
export function causeOf({ payable, previousPayable, takings, previousTakings, earlier }: AgreementRow): Cause | null {
  if (payable === null || previousPayable === null) return null;
  const changed = difference({ now: payable, before: previousPayable });
  if (changed !== null && earlier !== null && isMostOf(earlier, changed)) return { kind: 'earlier', amount: earlier };
  if (takings === null || previousTakings === null || takings.currency !== previousTakings.currency) return null;
  const thousandths = changeInThousandths({ now: takings, before: previousTakings });
  if (thousandths === null) return { kind: isZero(takings) ? 'same-takings' : 'no-takings-before' };
  return Math.abs(thousandths) < muchTheSameThousandths ? { kind: 'same-takings' } : { kind: 'takings', thousandths };
}

/** Whether a part goes the way of the whole and is more than half of it. */
function isMostOf(part: Money, whole: Money): boolean {
  return isNegative(part) === isNegative(whole) && 2n * sizeOf(part) > sizeOf(whole);
}

function sizeOf(money: Money): bigint {
  return unitsOf(isNegative(money) ? negated(money) : money);
}

/** Drafts whose change stands out before all others, which stay in their order. */
export function unusualFirst(rows: readonly AgreementRow[], unusual: ReadonlySet<string>): AgreementRow[] {
  const comesFirst = ({ agreementId, state }: AgreementRow): boolean => state === 'draft' && unusual.has(agreementId);
  return [...rows.filter(comesFirst), ...rows.filter((row) => !comesFirst(row))];
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
}
