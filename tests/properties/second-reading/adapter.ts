// The engine's documents in the plain shapes of the second reading. Nothing is reckoned here beyond sums of one record.
import type { PeriodInputs, SettlementInputs } from '#domain/settlement/types';
import type { MachineKinds, TaxRule as EngineRule } from '#domain/tax/types';
import type { AgreementVersion, Charge as EngineCharge, Guarantee as EngineGuarantee, PartyShare, Terms } from '#domain/terms/types';
import { dayOf } from './calendar';
import { exact, sum } from './numbers';
import type { Carry, Charge, Guarantee, Limits, PayoutInput, PeriodInput, ShareList, Split, TaxMethod, TaxRule, Version } from './terms';

const endless = dayOf('2199-12-31');
/** "4.5" percent as "0.045". */
const part = (percent: string) => exact(percent).div(100).toString(12);

export function periodInput(given: PeriodInputs, carriedIn: Carry): PeriodInput {
  const tags = new Map(given.machines.map((machine) => [machine.id, machine.tag]));
  const about = (record: { machineId: string; accountingDate: string }) => ({ machine: tags.get(record.machineId) ?? '', date: dayOf(record.accountingDate) });
  return {
    period: { from: dayOf(given.period.from), until: dayOf(given.period.until) },
    site: 'site',
    machines: given.machines.map(({ tag, kind, placements }) => ({
      tag,
      kind,
      placements: placements.map(({ from, until }) => ({ from: dayOf(from), until: until === null ? endless : dayOf(until) })),
    })),
    versions: given.versions.map(versionOf),
    taxRules: given.taxRules.map(taxRuleOf),
    counts: given.counts.map((count) => {
      const { terms } = versionOn(given, count.accountingDate);
      const tokens = count.tokens.map(({ tokenId, pieces }) => BigInt(pieces) * (terms.tokens.find((token) => token.tokenId === tokenId)?.valueMinor ?? 0n));
      const covered = { coveredFrom: dayOf(count.coveredFrom), coveredUntil: dayOf(count.coveredUntil) };
      const countedMinor = count.coinMinor + count.noteMinor;
      return { ...about(count), visit: count.collectionId, ...covered, countedMinor, meteredMinor: count.meteredMinor ?? countedMinor, tokensMinor: sum(tokens) };
    }),
    cashless: given.cashless.map((read) => ({ ...about(read), amountMinor: read.grossMinor - read.refundedMinor })),
    refunds: given.refundSlips.map((slip) => ({ ...about(slip), amountMinor: slip.amountMinor, paidBy: slip.paidBy })),
    breakIns: given.breakIns.map((theft) => ({ ...about(theft), amountMinor: theft.amountMinor })),
    carriedIn,
  };
}

function versionOn({ versions }: PeriodInputs, date: string): AgreementVersion {
  const started = [...versions].sort((left, right) => (left.startsOn < right.startsOn ? -1 : 1)).filter((version) => version.startsOn <= date);
  const version = started.at(-1);
  if (version === undefined) throw new Error('No version is in force.');
  return version;
}

/** The version of the period's last day, or the first one if none has begun by then. */
function inForceAtEnd(given: PeriodInputs): AgreementVersion {
  const ordered = [...given.versions].sort((left, right) => (left.startsOn < right.startsOn ? -1 : 1));
  const version = ordered.findLast((one) => one.startsOn < given.period.until) ?? ordered[0];
  if (version === undefined) throw new Error('A period has a version.');
  return version;
}

function versionOf({ id, startsOn, terms }: AgreementVersion): Version {
  const { borneBy } = terms.breakIns;
  return {
    name: id,
    wording: JSON.stringify(terms, (_key, value: unknown) => (typeof value === 'bigint' ? value.toString() : value)),
    from: dayOf(startsOn),
    basis: terms.basis,
    grouping: terms.grouping,
    ...(terms.tax.filedBy === 'as-the-rule-says' ? {} : { filedBy: terms.tax.filedBy }),
    ...(terms.tax.borneBy === 'as-the-rule-says' ? {} : { borneBy: terms.tax.borneBy }),
    ...(borneBy === 'all' ? {} : { breakInBorneBy: borneBy }),
    charges: terms.charges.map(chargeOf),
    split: splitOf(terms),
    guarantees: terms.guarantees.map(guaranteeOf),
  };
}

function chargeOf({ id, to, scope, amount, rest }: EngineCharge): Charge {
  const bases = { 'net-takings': 'net', 'cashless-takings': 'cashless', 'what-is-left': 'left' } as const;
  const what = amount.kind === 'amount' ? { amountMinor: amount.amountMinor, per: amount.per } : { percentage: part(amount.percent), of: bases[amount.of] };
  return { name: id, to, scope, what, rest: rest === 'carry' ? 'carried' : 'lapses' };
}

const listOf = (shares: readonly PartyShare[]): ShareList => shares.map(({ party, percent }) => ({ party, share: part(percent) }));

function splitOf({ split, loss }: Terms): Split {
  if (split.kind === 'shares') return { method: 'shares', shares: listOf(split.shares), loss };
  const bands = split.bands.map(({ fromMinor, shares }) => ({ fromMinor, shares: listOf(shares) }));
  return { method: 'bands', mode: split.method, scope: split.scope, per: split.per, bands, loss };
}

function guaranteeOf(guarantee: EngineGuarantee): Guarantee {
  const { party, kind, amountMinor, per, scope } = guarantee;
  const ends = guarantee.kind === 'at-least' ? { from: guarantee.from, excessTo: 'operator' } : { from: 'others' as const, excessTo: guarantee.excessTo };
  return { party, kind, amount: { amountMinor, per }, scope, ...ends };
}

function taxRuleOf(rule: EngineRule): TaxRule {
  return {
    name: rule.taxId,
    row: rule.id,
    from: dayOf(rule.from),
    until: rule.until === null ? endless : dayOf(rule.until),
    kinds: rule.machineKinds,
    tax: taxMethodOf(rule),
    includesBreakIns: rule.breakIns === 'in-base',
    carryNegative: rule.method !== 'fixed' && rule.negative === 'carry',
    filedBy: rule.filedBy,
    borneBy: rule.borneBy,
  };
}

const kindsOf = (kinds: MachineKinds) => (kinds === 'all' ? {} : { kinds });

function taxMethodOf(rule: EngineRule): TaxMethod {
  switch (rule.method) {
    case 'fixed': {
      const components = rule.components.map(({ id, amountMinor, placedLater }) => ({ name: id, amountMinor, ...(placedLater === null ? {} : { later: placedLater }) }));
      return { method: 'fixed', components, per: rule.per, due: rule.timing.kind === 'by-days-covered' ? 'by-days' : rule.timing };
    }
    case 'inside':
      return { method: 'inside', components: rule.components.map(({ id, ratePercent }) => ({ name: id, rate: part(ratePercent) })), ...capOf(rule) };
    case 'on-takings': {
      const components = rule.components.map(({ id, ratePercent, machineKinds }) => ({ name: id, rate: part(ratePercent), ...kindsOf(machineKinds) }));
      return { method: 'on-takings', together: rule.rounding === 'together', components, ...capOf(rule) };
    }
  }
}

function capOf({ capPerMachineMonthMinor }: { capPerMachineMonthMinor: bigint | null }): { capPerMachineMonthMinor?: bigint } {
  return capPerMachineMonthMinor === null ? {} : { capPerMachineMonthMinor };
}

export function limitsOf({ limits }: PeriodInputs): Limits {
  const highest = limits.find((limit) => limit.kind === 'highest-site-share');
  return { ...(highest === undefined ? {} : { highestSiteShare: part(highest.percent) }), noAdvances: limits.some((limit) => limit.kind === 'no-advances') };
}

/** How the payout of a settlement goes; what it goes by is the second reading's own. */
export function payoutInput(given: SettlementInputs, own: Pick<PayoutInput, 'credits' | 'carriedItems' | 'advances'>): PayoutInput {
  const { advances, payout } = inForceAtEnd(given.current).terms;
  const listed = given.current.versions.flatMap((version) => version.terms.parties.map((party) => party.id));
  const everybody = [...listed, ...own.credits.keys(), ...[...given.handedCash, ...own.carriedItems].map((one) => one.party)];
  return {
    ...own,
    payees: [...new Set(everybody)].filter((party) => party !== 'operator'),
    cashHanded: given.handedCash,
    repay: advances.kind === 'none' ? 'nothing' : advances.kind === 'fixed' ? { amountMinor: advances.amountMinor } : { percentage: part(advances.percent) },
    smallestPayoutMinor: payout.smallestMinor,
    carriesNegative: payout.negative === 'carry',
    smallestCoinMinor: payout.smallestCoinMinor,
    final: given.kind !== 'regular',
  };
}
