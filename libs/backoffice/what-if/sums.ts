import { moneyOf } from '#contracts/money';
import type { WhatIfAmounts, WhatIfAnswer } from '#contracts/what-if';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { PeriodLine } from '#domain/settlement/lines';
import { totalsOf } from '#domain/settlement/totals';
import { earnedOf, nothingEarned, type Earned, type RerunPeriod } from '#domain/settlement/what-if';
import type { PartyId, TermsParty } from '#domain/terms/types';
import type { ScopeRow } from './read.sql';

/** Minor units as issued, and as they would have been. */
type Both = { readonly before: bigint; readonly after: bigint };
const nothing: Both = { before: 0n, after: 0n };
const plus = (one: Both, other: Both): Both => ({ before: one.before + other.before, after: one.after + other.after });

type PartySum = {
  readonly partyId: PartyId;
  readonly role: TermsParty['role'];
  readonly currency: CurrencyCode;
  parts: { readonly [part in keyof Earned]: Both };
  readonly periods: Map<string, { readonly startsOn: LocalDate; readonly endsBefore: LocalDate; total: Both }>;
};
type CurrencySum = { takings: Both; tax: Both; carried: Both };

/** Sums alone are kept, so what a run holds grows with parties and months and not with counts and lines. */
export type Sums = {
  readonly parties: Map<string, PartySum>;
  readonly currencies: Map<CurrencyCode, CurrencySum>;
  readonly sites: WhatIfAnswer['sites'];
  periods: number;
};

export function noSums(): Sums {
  return { parties: new Map(), currencies: new Map(), sites: [], periods: 0 };
}

/** Adds the periods of one agreement. */
export function addAgreement(sums: Sums, agreement: ScopeRow, run: { readonly periods: readonly RerunPeriod[]; readonly operator: PartyId }): void {
  const { currency } = agreement;
  const byRole: Record<TermsParty['role'], Both> = { operator: nothing, site: nothing, other: nothing };
  const roleOf = (party: PartyId): TermsParty['role'] => (party === run.operator ? 'operator' : party === agreement.party_id ? 'site' : 'other');
  for (const { standing, lines } of run.periods) {
    const [before, after] = [earnedOf(standing.issued, run.operator), earnedOf(lines, run.operator)];
    for (const party of new Set([run.operator, agreement.party_id, ...before.keys(), ...after.keys()])) {
      const [was, is] = [before.get(party) ?? nothingEarned, after.get(party) ?? nothingEarned];
      const total: Both = { before: totalOf(was), after: totalOf(is) };
      byRole[roleOf(party)] = plus(byRole[roleOf(party)], total);
      addParty(sums, { partyId: party, role: roleOf(party), currency, was, is, total, days: standing.inputs.period });
    }
    addTotals(sums, currency, { before: standing.issued, after: lines });
    sums.periods += 1;
  }
  sums.sites.push({
    siteId: agreement.site_id,
    siteCode: agreement.site_code,
    siteName: agreement.site_name,
    agreementId: agreement.agreement_id,
    operator: amounts(byRole.operator, currency),
    site: amounts(byRole.site, currency),
    others: amounts(byRole.other, currency),
  });
}

type PartyPeriod = Pick<PartySum, 'partyId' | 'role' | 'currency'> & {
  readonly was: Earned;
  readonly is: Earned;
  readonly total: Both;
  readonly days: { readonly from: LocalDate; readonly until: LocalDate };
};

function addParty(sums: Sums, { partyId, role, currency, was, is, total, days }: PartyPeriod): void {
  const key = `${currency} ${partyId}`;
  const sum: PartySum = sums.parties.get(key) ?? { partyId, role, currency, parts: { sharesMinor: nothing, chargesMinor: nothing, borneMinor: nothing }, periods: new Map() };
  sums.parties.set(key, sum);
  const part = (name: keyof Earned): Both => plus(sum.parts[name], { before: was[name], after: is[name] });
  sum.parts = { sharesMinor: part('sharesMinor'), chargesMinor: part('chargesMinor'), borneMinor: part('borneMinor') };
  const period = sum.periods.get(`${days.from} ${days.until}`) ?? { startsOn: days.from, endsBefore: days.until, total: nothing };
  sum.periods.set(`${days.from} ${days.until}`, { ...period, total: plus(period.total, total) });
}

function addTotals(sums: Sums, currency: CurrencyCode, lines: { readonly before: readonly PeriodLine[]; readonly after: readonly PeriodLine[] }): void {
  const [was, is] = [totalsOf(lines.before), totalsOf(lines.after)];
  const sum = sums.currencies.get(currency) ?? { takings: nothing, tax: nothing, carried: nothing };
  sums.currencies.set(currency, {
    takings: plus(sum.takings, { before: was.netTakingsMinor, after: is.netTakingsMinor }),
    tax: plus(sum.tax, { before: was.taxBeforeSplitMinor + was.operatorTaxMinor, after: is.taxBeforeSplitMinor + is.operatorTaxMinor }),
    carried: plus(sum.carried, { before: was.lossOutMinor - was.lossInMinor, after: is.lossOutMinor - is.lossInMinor }),
  });
}

function totalOf({ sharesMinor, chargesMinor, borneMinor }: Earned): bigint {
  return sharesMinor + chargesMinor - borneMinor;
}

export function amounts({ before, after }: Both, currency: CurrencyCode): WhatIfAmounts {
  return { before: moneyOf(before, currency), after: moneyOf(after, currency), difference: moneyOf(after - before, currency) };
}

/** The operator first, then the sites' parties and the others, by name. */
export function partiesBody(sums: Sums, nameOf: (sum: { readonly partyId: PartyId; readonly role: TermsParty['role'] }) => string): WhatIfAnswer['parties'] {
  const order = { operator: 0, site: 1, other: 2 } as const;
  return [...sums.parties.values()]
    .map(({ partyId, role, currency, parts: { sharesMinor, chargesMinor, borneMinor }, periods }) => ({
      partyId,
      role,
      name: nameOf({ partyId, role }),
      currency,
      shares: amounts(sharesMinor, currency),
      charges: amounts(chargesMinor, currency),
      borne: amounts(borneMinor, currency),
      total: amounts(
        { before: sharesMinor.before + chargesMinor.before - borneMinor.before, after: sharesMinor.after + chargesMinor.after - borneMinor.after },
        currency,
      ),
      periods: [...periods.values()].sort(byDays).map(({ startsOn, endsBefore, total }) => ({ startsOn, endsBefore, total: amounts(total, currency) })),
    }))
    .sort((one, other) => order[one.role] - order[other.role] || compare(one.name, other.name) || compare(one.partyId, other.partyId) || compare(one.currency, other.currency));
}

export function totalsBody(sums: Sums): WhatIfAnswer['totals'] {
  return [...sums.currencies]
    .map(([currency, { takings, tax, carried }]) => ({ currency, takings: amounts(takings, currency), tax: amounts(tax, currency), carried: amounts(carried, currency) }))
    .sort((one, other) => compare(one.currency, other.currency));
}

function byDays(one: { startsOn: string; endsBefore: string }, other: { startsOn: string; endsBefore: string }): number {
  return compare(one.startsOn, other.startsOn) || compare(one.endsBefore, other.endsBefore);
}

function compare(one: string, other: string): number {
  return one < other ? -1 : one > other ? 1 : 0;
}
