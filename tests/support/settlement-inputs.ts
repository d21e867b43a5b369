/** Small invented settlement inputs for tests: one operator, one site, amounts in minor units, dates as text. */
import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import {
  noCarries,
  type BreakInInput,
  type CashlessInput,
  type CountInput,
  type MachineInput,
  type PeriodInputs,
  type RefundSlipInput,
  type SettlementInputs,
} from '#domain/settlement/types';
import type { FixedTaxRule, InsideTaxRule, OnTakingsTaxRule } from '#domain/tax/types';
import type { AgreementVersion, Charge, PartyShare, Terms } from '#domain/terms/types';

export const operator = 'operator';
export const site = 'site';
export const other = 'owner-of-the-table';

export function shares(...pairs: readonly (readonly [string, string])[]): PartyShare[] {
  return pairs.map(([party, percent]) => ({ party, percent: decimal(percent) }));
}

export function terms(changes: Partial<Terms> = {}): Terms {
  return {
    format: 1,
    currency: 'USD',
    arrangement: 'machine-lease',
    parties: [
      { id: operator, role: 'operator' },
      { id: site, role: 'site' },
    ],
    cycle: { kind: 'month' },
    basis: 'counted',
    grouping: 'site',
    tax: { filedBy: 'as-the-rule-says', borneBy: 'as-the-rule-says' },
    tokens: [],
    cashless: 'by-day',
    breakIns: { borneBy: 'all' },
    charges: [],
    split: { kind: 'shares', shares: shares([operator, '50'], [site, '50']) },
    loss: 'carry',
    guarantees: [],
    advances: { kind: 'none' },
    payout: { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: null },
    ...changes,
  };
}

export function version(startsOn: string, changes: Partial<Terms> = {}): AgreementVersion {
  return { id: `version-${startsOn}`, startsOn: localDate(startsOn), terms: terms(changes) };
}

export function charge(changes: Partial<Charge> = {}): Charge {
  return {
    id: 'first-call',
    title: 'First call',
    to: operator,
    scope: 'agreement',
    amount: { kind: 'amount', per: 'week', amountMinor: 7500n },
    rest: 'lapse',
    ...changes,
  };
}

export function machine(tag: string, changes: Partial<MachineInput> = {}): MachineInput {
  return { id: `m-${tag}`, tag, kind: 'arcade', placements: [{ id: `p-${tag}`, from: localDate('2020-01-01'), until: null }], ...changes };
}

/** A count of `days` days up to its date. */
export function count(tag: string, date: string, coinMinor: bigint, changes: Partial<CountInput> & { days?: number } = {}): CountInput {
  const { days, ...rest } = changes;
  const countedOn = localDate(date);
  return {
    id: `c-${tag}-${date}`,
    collectionId: `visit-${date}`,
    placementId: `p-${tag}`,
    machineId: `m-${tag}`,
    accountingDate: countedOn,
    countedOn,
    coveredFrom: rest.coveredFrom ?? daysBefore(date, days ?? 7),
    coveredUntil: countedOn,
    coinMinor,
    noteMinor: 0n,
    tokens: [],
    meteredMinor: null,
    ...rest,
  };
}

export function slip(tag: string, date: string, amountMinor: bigint, changes: Partial<RefundSlipInput> = {}): RefundSlipInput {
  return {
    id: `s-${tag}-${date}`,
    machineId: `m-${tag}`,
    collectionId: `visit-${date}`,
    accountingDate: localDate(date),
    date: localDate(date),
    amountMinor,
    paidBy: site,
    ...changes,
  };
}

export function cashless(tag: string, date: string, grossMinor: bigint, refundedMinor = 0n): CashlessInput {
  return { id: `k-${tag}-${date}`, machineId: `m-${tag}`, accountingDate: localDate(date), grossMinor, refundedMinor };
}

export function breakIn(tag: string, date: string, amountMinor: bigint): BreakInInput {
  return { id: `b-${tag}-${date}`, machineId: `m-${tag}`, accountingDate: localDate(date), amountMinor };
}

export function period(from: string, until: string, changes: Partial<Omit<PeriodInputs, 'period'>> = {}): PeriodInputs {
  return {
    period: { id: `period-${from}`, from: localDate(from), until: localDate(until) },
    versions: [version('2020-01-01')],
    taxRules: [],
    limits: [],
    machines: [machine('A')],
    counts: [],
    refundSlips: [],
    cashless: [],
    breakIns: [],
    ...changes,
  };
}

export function inputs(current: PeriodInputs, changes: Partial<SettlementInputs> = {}): SettlementInputs {
  return {
    format: 1,
    kind: 'regular',
    currency: 'USD',
    agreementId: 'agreement',
    siteId: 'place',
    carriesIn: noCarries,
    earlier: [],
    current,
    carriedItems: [],
    advances: [],
    handedCash: [],
    ...changes,
  };
}

const ruleBase = {
  id: 'rule-1',
  taxId: 'sales-tax',
  areaId: 'area',
  title: 'Sales tax',
  source: 'invented for tests',
  from: localDate('2020-01-01'),
  until: null,
  machineKinds: 'all',
  filedBy: 'operator',
  borneBy: 'all',
  breakIns: 'not-in-base',
} as const;

export function insideRule(rates: readonly string[], changes: Partial<InsideTaxRule> = {}): InsideTaxRule {
  return {
    ...ruleBase,
    method: 'inside',
    negative: 'zero',
    capPerMachineMonthMinor: null,
    components: rates.map((rate, index) => ({ id: `part-${index + 1}`, title: `Part ${index + 1}`, ratePercent: decimal(rate) })),
    ...changes,
  };
}

export function takingsRule(rates: readonly string[], changes: Partial<OnTakingsTaxRule> = {}): OnTakingsTaxRule {
  return {
    ...ruleBase,
    method: 'on-takings',
    rounding: 'apart',
    negative: 'zero',
    capPerMachineMonthMinor: null,
    components: rates.map((rate, index) => ({
      id: `part-${index + 1}`,
      title: `Part ${index + 1}`,
      ratePercent: decimal(rate),
      machineKinds: 'all',
    })),
    ...changes,
  };
}

export function fixedRule(amountMinor: bigint, changes: Partial<FixedTaxRule> = {}): FixedTaxRule {
  return {
    ...ruleBase,
    method: 'fixed',
    per: 'month',
    timing: { kind: 'by-days-covered' },
    components: [{ id: 'part-1', title: 'Part 1', amountMinor, placedLater: null }],
    ...changes,
  };
}

function daysBefore(date: string, days: number) {
  const instant = new Date(`${date}T00:00:00Z`);
  instant.setUTCDate(instant.getUTCDate() - days);
  return localDate(instant.toISOString().slice(0, 10));
}
