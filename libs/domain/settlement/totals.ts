/** Adds up lines, of one period or of a whole settlement. */
import type { PartyId, TermsParty } from '#domain/terms/types';
import type { LineKind, PeriodLine } from '#domain/settlement/lines';
import type { PartyResult, TaxTotal, Totals } from '#domain/settlement/types';

type TotalName = keyof Totals;

const totalOfKind: Partial<Record<LineKind, TotalName>> = {
  cash: 'takingsMinor',
  'metered-difference': 'takingsMinor',
  tokens: 'takingsMinor',
  cashless: 'takingsMinor',
  'break-in': 'takingsMinor',
  refund: 'refundsMinor',
  'loss-in': 'lossInMinor',
  tax: 'taxBeforeSplitMinor',
  'operator-tax': 'operatorTaxMinor',
  charge: 'chargesMinor',
  share: 'sharesMinor',
  guarantee: 'sharesMinor',
  'loss-out': 'lossOutMinor',
};

export function totalsOf(lines: Iterable<PeriodLine>): Totals {
  const totals: Record<TotalName, bigint> = {
    takingsMinor: 0n,
    refundsMinor: 0n,
    netTakingsMinor: 0n,
    lossInMinor: 0n,
    taxBeforeSplitMinor: 0n,
    chargesMinor: 0n,
    sharesMinor: 0n,
    lossOutMinor: 0n,
    operatorTaxMinor: 0n,
  };
  for (const { kind, amountMinor } of lines) {
    const name = totalOfKind[kind];
    if (name !== undefined) totals[name] += amountMinor;
  }
  totals.netTakingsMinor = totals.takingsMinor - totals.refundsMinor;
  return totals;
}

/** Each party's shares and charges. Parties stand in the given order; one that only an earlier version knew follows. */
export function partyResults(lines: readonly PeriodLine[], known: readonly TermsParty[]): PartyResult[] {
  const results = new Map<PartyId, { party: PartyId; role: TermsParty['role']; sharesMinor: bigint; chargesMinor: bigint }>();
  for (const { id, role } of known) results.set(id, { party: id, role, sharesMinor: 0n, chargesMinor: 0n });
  for (const { kind, about, amountMinor } of lines) {
    if (about.party === undefined) continue;
    const result = results.get(about.party);
    if (result === undefined) continue;
    if (kind === 'share' || kind === 'guarantee') result.sharesMinor += amountMinor;
    if (kind === 'charge') result.chargesMinor += amountMinor;
  }
  return [...results.values()];
}

export function taxTotals(lines: readonly PeriodLine[], taxIdOf: (ruleId: string) => string): TaxTotal[] {
  const totals = new Map<string, { total: TaxTotal; amountMinor: bigint }>();
  for (const { kind, about, amountMinor } of lines) {
    if (kind !== 'tax' && kind !== 'operator-tax') continue;
    const { taxRuleId: ruleId = '', taxAreaId: areaId = '', taxComponentId: componentId = '', filedBy = 'operator' } = about;
    const borneBy = kind === 'tax' ? 'all' : 'operator';
    const key = JSON.stringify([ruleId, componentId, filedBy, borneBy]);
    const before = totals.get(key);
    if (before === undefined)
      totals.set(key, { total: { ruleId, taxId: taxIdOf(ruleId), areaId, componentId, filedBy, borneBy, amountMinor: 0n }, amountMinor });
    else before.amountMinor += amountMinor;
  }
  return [...totals.values()].map(({ total, amountMinor }) => ({ ...total, amountMinor }));
}
