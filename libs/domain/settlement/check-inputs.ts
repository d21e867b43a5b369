/**
 * Whether inputs can be settled. Loaders build them from checked records, so a problem here is damage or a document
 * from outside; either way it is named, not guessed around.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { largestMinor } from '#domain/money/amount';
import { checkTaxRules, type TaxProblemCode } from '#domain/tax/check-rules';
import { checkTerms } from '#domain/terms/check-terms';
import type { TermsProblemCode } from '#domain/terms/problems';
import type { PeriodInputs, SettlementInputs } from '#domain/settlement/inputs';

export type InputsProblemCode =
  | TermsProblemCode
  | TaxProblemCode
  | 'period-ends-before-it-starts'
  | 'periods-out-of-order'
  | 'no-version'
  | 'two-versions-from-one-day'
  | 'item-listed-twice'
  | 'machine-unknown'
  | 'accounting-date-outside-period'
  | 'coverage-ends-before-it-starts'
  | 'amount-out-of-range'
  | 'pieces-out-of-range'
  | 'metered-amount-missing'
  | 'loss-above-zero'
  | 'advance-closed';

export interface InputsProblem {
  /** JSON pointer into the inputs. */
  readonly pointer: string;
  readonly code: InputsProblemCode;
}

/** All problems at once; none: `settle` will not throw. */
export function checkInputs(inputs: SettlementInputs): InputsProblem[] {
  const periods = [
    ...inputs.earlier.map((earlier, index) => ({ period: earlier.inputs, pointer: `/earlier/${index}/inputs` })),
    { period: inputs.current, pointer: '/current' },
  ];
  return [
    ...periods.flatMap(({ period, pointer }) => checkPeriod(period, pointer, inputs.currency)),
    ...periods.flatMap(({ period, pointer }, index) => {
      const before = periods[index - 1]?.period.period;
      return before !== undefined && before.until > period.period.from ? [problem(`${pointer}/period/from`, 'periods-out-of-order')] : [];
    }),
    ...inputs.advances.flatMap((advance, index) =>
      advance.openMinor > 0n ? range(`/advances/${index}/openMinor`, advance.openMinor) : [problem(`/advances/${index}/openMinor`, 'advance-closed')],
    ),
    ...twice(inputs.advances, '/advances'),
    ...twice(inputs.carriedItems, '/carriedItems'),
    ...twice(inputs.handedCash, '/handedCash'),
    ...inputs.carriesIn.losses.flatMap((loss, index) =>
      loss.amountMinor < 0n ? [] : [problem(`/carriesIn/losses/${index}/amountMinor`, 'loss-above-zero')],
    ),
    ...inputs.carriesIn.negativeTaxes.flatMap((tax, index) =>
      tax.amountMinor < 0n ? [] : [problem(`/carriesIn/negativeTaxes/${index}/amountMinor`, 'loss-above-zero')],
    ),
    ...inputs.carriesIn.chargeRests.flatMap((rest, index) => range(`/carriesIn/chargeRests/${index}/amountMinor`, rest.amountMinor)),
  ];
}

function checkPeriod(inputs: PeriodInputs, pointer: string, currency: CurrencyCode): InputsProblem[] {
  const { period, versions } = inputs;
  return [
    ...(period.from < period.until ? [] : [problem(`${pointer}/period/until`, 'period-ends-before-it-starts')]),
    ...(versions.length === 0 ? [problem(`${pointer}/versions`, 'no-version')] : []),
    ...repeated(versions, `${pointer}/versions`, 'startsOn', 'two-versions-from-one-day', (version) => version.startsOn),
    // Limits are not asked again: terms that a later law forbids are still settled, and the result names the breach.
    ...versions.flatMap((version, index) =>
      checkTerms(version.terms, { currency, limits: [] }).map((found) => problem(`${pointer}/versions/${index}/terms${found.pointer}`, found.code)),
    ),
    ...checkTaxRules(inputs.taxRules).map((found) => problem(`${pointer}/taxRules${found.pointer}`, found.code)),
    ...twice(inputs.machines, `${pointer}/machines`),
    ...checkItems(inputs, pointer),
  ];
}

function checkItems(inputs: PeriodInputs, pointer: string): InputsProblem[] {
  const isMetered = (day: LocalDate): boolean =>
    (inputs.versions.findLast((version) => version.startsOn <= day) ?? inputs.versions[0])?.terms.basis === 'metered';
  const place = placer(inputs);
  return [
    ...inputs.counts.flatMap((count, index) => {
      const at = `${pointer}/counts/${index}`;
      return [
        ...place(count, at),
        ...(count.coveredFrom <= count.coveredUntil ? [] : [problem(`${at}/coveredUntil`, 'coverage-ends-before-it-starts')]),
        ...range(`${at}/coinMinor`, count.coinMinor),
        ...range(`${at}/noteMinor`, count.noteMinor),
        ...count.tokens.flatMap(({ pieces }, position) =>
          Number.isSafeInteger(pieces) && pieces >= 0 ? [] : [problem(`${at}/tokens/${position}/pieces`, 'pieces-out-of-range')],
        ),
        ...(count.meteredMinor === null
          ? isMetered(count.accountingDate)
            ? [problem(`${at}/meteredMinor`, 'metered-amount-missing')]
            : []
          : range(`${at}/meteredMinor`, sizeOf(count.meteredMinor))),
      ];
    }),
    ...inputs.refundSlips.flatMap((slip, index) => [
      ...place(slip, `${pointer}/refundSlips/${index}`),
      ...range(`${pointer}/refundSlips/${index}/amountMinor`, slip.amountMinor),
    ]),
    ...inputs.cashless.flatMap((item, index) => [
      ...place(item, `${pointer}/cashless/${index}`),
      ...range(`${pointer}/cashless/${index}/grossMinor`, item.grossMinor),
      ...range(`${pointer}/cashless/${index}/refundedMinor`, item.refundedMinor),
    ]),
    ...inputs.breakIns.flatMap((item, index) => [
      ...place(item, `${pointer}/breakIns/${index}`),
      ...range(`${pointer}/breakIns/${index}/amountMinor`, item.amountMinor),
    ]),
    ...twice(inputs.counts, `${pointer}/counts`),
    ...twice(inputs.refundSlips, `${pointer}/refundSlips`),
    ...twice(inputs.cashless, `${pointer}/cashless`),
    ...twice(inputs.breakIns, `${pointer}/breakIns`),
  ];
}

/** Every item belongs to a known machine and to this period. */
function placer({ machines, period }: PeriodInputs) {
  const known = new Set(machines.map((machine) => machine.id));
  return (item: { readonly machineId: string; readonly accountingDate: string }, at: string): InputsProblem[] => [
    ...(known.has(item.machineId) ? [] : [problem(`${at}/machineId`, 'machine-unknown')]),
    ...(item.accountingDate >= period.from && item.accountingDate < period.until
      ? []
      : [problem(`${at}/accountingDate`, 'accounting-date-outside-period')]),
  ];
}

function range(pointer: string, amountMinor: bigint): InputsProblem[] {
  return amountMinor >= 0n && amountMinor <= largestMinor ? [] : [problem(pointer, 'amount-out-of-range')];
}

/** A machine may pay back more than it took; no box can imply more than that way round. */
function sizeOf(amountMinor: bigint): bigint {
  return amountMinor < 0n ? -amountMinor : amountMinor;
}

function twice(items: readonly { readonly id: string }[], pointer: string): InputsProblem[] {
  return repeated(items, pointer, 'id', 'item-listed-twice', (item) => item.id);
}

function repeated<Item>(
  items: readonly Item[],
  pointer: string,
  field: string,
  code: InputsProblemCode,
  keyOf: (item: Item) => string,
): InputsProblem[] {
  const seen = new Set<string>();
  return items.flatMap((item, index) => {
    const key = keyOf(item);
    if (seen.has(key)) return [problem(`${pointer}/${index}/${field}`, code)];
    seen.add(key);
    return [];
  });
}

function problem(pointer: string, code: InputsProblemCode): InputsProblem {
  return { pointer, code };
}
