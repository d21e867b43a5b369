import { moneyOf, toAmount } from '#contracts/money';
import { formatInstant } from '#contracts/format';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { RecordToleranceRuleSet, ToleranceRuleSet, ToleranceRuleSets } from '#contracts/variance';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { isDecimal } from '#domain/money/decimal';
import { defaultTolerance, type Tolerance } from '#domain/variance/tolerance';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { localDay } from '../collection/local-day';
import { perform } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { readOperator } from '../settlement/number.sql';
import { insertRuleSet, selectCurrencies, selectRuleSets, type RuleSetRow } from './rule-set.sql';

/** What is asked of a count, and the rule set that says so; null where it is the default. `countersApartMinor`: more than this apart, two counters of one box are followed up; null where nobody said so. */
export type DatedTolerance = { readonly tolerance: Tolerance | null; readonly ruleSetId: string | null; readonly countersApartMinor: bigint | null };

/** The tolerance of a day: the latest rule set of the currency that was in force by then. `rows` are the latest first. */
export function toleranceOn(rows: readonly RuleSetRow[], on: { readonly currency: CurrencyCode; readonly day: LocalDate }): DatedTolerance {
  const row = rows.find((each) => each.currency === on.currency && each.effective_on <= on.day);
  return datedBy(row, on.currency);
}

/** The tolerance that a count was judged by when it was accepted, whatever was decided since. */
export function toleranceOf(rows: readonly RuleSetRow[], judged: { readonly ruleSetId: string | null; readonly currency: CurrencyCode }): DatedTolerance {
  const row = rows.find(({ id }) => id === judged.ruleSetId);
  return datedBy(row, judged.currency);
}

function datedBy(row: RuleSetRow | undefined, currency: CurrencyCode): DatedTolerance {
  return row === undefined ? { tolerance: defaultTolerance(currency), ruleSetId: null, countersApartMinor: null } : { tolerance: toTolerance(row), ruleSetId: row.id, countersApartMinor: row.counters_apart_minor };
}

function toTolerance(row: RuleSetRow): Tolerance {
  return { amountMinor: row.amount_minor, percent: row.percent, joinedBy: row.joined_by, percentOf: row.percent_of, limit: row.out_when };
}

export async function listRuleSets(deps: Backoffice, caller: Caller): Promise<Outcome<ToleranceRuleSets>> {
  return perform(deps, caller, 'tolerance-rule-set.read', async ({ tx, now }) => {
    const rows = await selectRuleSets(tx);
    const day = localDay({ instant: now, timeZone: (await readOperator(tx)).time_zone });
    if (day === null) throw new Error('the clock is outside the calendar');
    const currencies = await selectCurrencies(tx, day);
    return done({ items: rows.map(toRuleSet), currencies, withoutTolerance: currencies.filter((currency) => toleranceOn(rows, { currency, day }).tolerance === null) });
  });
}

/** Decides what is followed up from a day on. Counts that are in the books stay judged by what held when they were accepted. */
export async function recordRuleSet(deps: Backoffice, caller: Caller, command: RecordToleranceRuleSet): Promise<Outcome<ToleranceRuleSet>> {
  return perform(
    deps,
    caller,
    'tolerance-rule-set.record',
    async ({ tx, now }) => {
      const { amount, percent, currency, countersApart } = command;
      const wrong = Object.entries({ amount, countersApart }).flatMap(([field, money]) => (money === undefined || money.currency === currency ? [] : [otherCurrency([field, 'currency'], 'The rule set is for', currency)]));
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const id = command.id ?? deps.newId();
      await insertRuleSet(tx, {
        id,
        name: command.name,
        currency,
        effective_on: command.effectiveOn,
        amount_minor: amount === undefined ? null : toAmount(amount).minor,
        percent: percent !== undefined && isDecimal(percent) ? percent : null,
        joined_by: command.joinedBy,
        percent_of: command.percentOf,
        out_when: command.outWhen,
        counters_apart_minor: countersApart === undefined ? null : toAmount(countersApart).minor,
        recorded_at: now,
      });
      const row = (await selectRuleSets(tx)).find((each) => each.id === id);
      if (row === undefined) throw new Error(`rule set ${id} is gone`);
      return done(toRuleSet(row));
    },
    { constraints: { tolerance_rule_set_pkey: taken(['id'], 'a rule set with this id') } },
  );
}

function toRuleSet(row: RuleSetRow): ToleranceRuleSet {
  return {
    id: row.id,
    name: row.name,
    currency: row.currency,
    effectiveOn: row.effective_on,
    amount: row.amount_minor === null ? null : moneyOf(row.amount_minor, row.currency),
    percent: row.percent,
    joinedBy: row.joined_by,
    percentOf: row.percent_of,
    outWhen: row.out_when,
    countersApart: row.counters_apart_minor === null ? null : moneyOf(row.counters_apart_minor, row.currency),
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
