import { addDays, type LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { PeriodCarries } from '#domain/settlement/carries';
import type {
  BreakInInput,
  CarriedItem,
  CashlessInput,
  CountInput,
  EarlierPeriod,
  HandedCash,
  MachineInput,
  PeriodInputs,
  RefundSlipInput,
  SettlementInputs,
  SettlementKind,
} from '#domain/settlement/inputs';
import type { LawLimit, TaxRule } from '#domain/tax/types';
import { operatorOf, siteOf } from '#domain/terms/parties';
import type { AgreementVersion } from '#domain/terms/types';
import type { OpenAdvanceRow } from '../../advance/recoup.sql';
import { tokenList } from '../../collection/box-contents';
import type { OnAccountRow } from '../../payment/set-off.sql';
import type { CountRow, HandedRow, MachineRecordRow, PlacementRow, SlipRow } from './facts.sql';

/** Everything that was read about one period of one agreement. Days are the agreement's own part of the period. */
export type PeriodFacts = {
  readonly periodId: string;
  readonly from: LocalDate;
  readonly until: LocalDate;
  /** By machine tag. */
  readonly placements: readonly PlacementRow[];
  /** Sorted by placement, then in the order in which the boxes were emptied; some may be booked to other periods. */
  readonly counts: readonly CountRow[];
  readonly slips: readonly SlipRow[];
  readonly records: readonly MachineRecordRow[];
  /** The day of a placement's last count before the first of its counts above. */
  readonly previousCountOn: (placementId: string) => LocalDate | undefined;
};

/** What holds for an agreement whatever the period. */
export type AgreementFacts = {
  /** All versions that stand, by start date. */
  readonly versions: readonly AgreementVersion[];
  readonly taxRules: readonly TaxRule[];
  readonly limits: readonly LawLimit[];
};

export type SettlementFacts = {
  readonly agreementId: string;
  readonly siteId: string;
  readonly currency: CurrencyCode;
  readonly kind: SettlementKind;
  readonly agreement: AgreementFacts;
  readonly current: PeriodFacts;
  readonly earlier: readonly { readonly facts: PeriodFacts; readonly issued: EarlierPeriod['issued'] }[];
  readonly carriesIn: PeriodCarries;
  readonly carriedItems: readonly CarriedItem[];
  readonly handedCash: readonly HandedRow[];
  readonly onAccount: readonly OnAccountRow[];
  /** In the order in which they are worked off. */
  readonly advances: readonly OpenAdvanceRow[];
};

/** The document that a settlement is computed from. Whatever order the rows came in, the same facts give the same document. */
export function settlementInputs(facts: SettlementFacts): SettlementInputs {
  return {
    format: 1,
    kind: facts.kind,
    currency: facts.currency,
    agreementId: facts.agreementId,
    siteId: facts.siteId,
    carriesIn: facts.carriesIn,
    earlier: facts.earlier.map(({ facts: period, issued }) => ({ inputs: periodInputs(period, facts.agreement), issued })),
    current: periodInputs(facts.current, facts.agreement),
    carriedItems: facts.carriedItems,
    advances: facts.advances.map((row) => ({ id: row.id, party: row.party_id, openMinor: BigInt(row.open_minor) })),
    handedCash: [...facts.handedCash.map(handedCash), ...facts.onAccount.map(paidOnAccount)].sort(byId),
  };
}

function periodInputs(period: PeriodFacts, agreement: AgreementFacts): PeriodInputs {
  const versions = versionsWithin(period, agreement.versions);
  const counts = countsOf(period).map((count) => (goesByMeters(versions) ? count : { ...count, meteredMinor: null }));
  return {
    period: { id: period.periodId, from: period.from, until: period.until },
    versions,
    taxRules: agreement.taxRules.filter((rule) => touches(rule, period)),
    limits: agreement.limits.filter((limit) => touches(limit, period)),
    machines: machinesOf(period.placements),
    counts,
    refundSlips: period.slips.map((slip) => refundSlip(slip, versions)).sort(byId),
    cashless: period.records.flatMap((row) => (row.of === 'cashless' ? [cashless(row)] : [])).sort(byId),
    breakIns: period.records.flatMap((row) => (row.of === 'break-in' ? [breakIn(row)] : [])).sort(byId),
  };
}

/**
 * What meters imply is an input only where the terms go by it. These inputs are attached to the statement, and what was
 * expected in a box is nobody's business outside the office.
 */
function goesByMeters(versions: readonly AgreementVersion[]): boolean {
  return versions.some(({ terms }) => terms.basis === 'metered');
}

/** Versions in force on a day of the period. The first also covers days before it, so one that starts late is better than none. */
function versionsWithin(period: PeriodFacts, versions: readonly AgreementVersion[]): AgreementVersion[] {
  const started = versions.filter((version) => version.startsOn < period.until);
  const inForceAtStart = started.filter((version) => version.startsOn <= period.from).at(-1);
  const within = started.filter((version) => version.startsOn > period.from);
  if (inForceAtStart !== undefined) return [inForceAtStart, ...within];
  return within.length > 0 ? within : versions.slice(0, 1);
}

function touches(dated: { readonly from: LocalDate; readonly until: LocalDate | null }, period: PeriodFacts): boolean {
  return dated.from < period.until && (dated.until === null || dated.until > period.from);
}

function machinesOf(placements: readonly PlacementRow[]): MachineInput[] {
  const machines = new Map<string, MachineInput>();
  for (const row of placements) {
    const placement = { id: row.placement_id, from: row.placed_on as LocalDate, until: row.removed_on as LocalDate | null };
    const placementsBefore = machines.get(row.machine_id)?.placements ?? [];
    machines.set(row.machine_id, { id: row.machine_id, tag: row.tag, kind: row.kind, placements: [...placementsBefore, placement] });
  }
  return [...machines.values()];
}

/**
 * Counts with the days that each covers: from the machine's previous count at this placement, or the placement's first
 * day, up to its own day, which a removal count includes. Counts of one collection are parts of one emptying and cover
 * the same days.
 */
function countsOf(period: PeriodFacts): CountInput[] {
  const placedOn = new Map(period.placements.map((row) => [row.placement_id, row.placed_on as LocalDate]));
  const counts: CountInput[] = [];
  let before: CountRow | undefined;
  let coveredFrom: LocalDate | undefined;
  for (const row of period.counts) {
    const countedOn = row.local_date as LocalDate;
    if (before?.placement_id !== row.placement_id) coveredFrom = period.previousCountOn(row.placement_id) ?? placedOn.get(row.placement_id);
    else if (before.collection_id !== row.collection_id) coveredFrom = before.local_date as LocalDate;
    before = row;
    if (row.accounting_date < period.from || row.accounting_date >= period.until) continue;
    counts.push({
      id: row.id,
      collectionId: row.collection_id,
      placementId: row.placement_id,
      machineId: row.machine_id,
      accountingDate: row.accounting_date as LocalDate,
      countedOn,
      coveredFrom: coveredFrom !== undefined && coveredFrom < countedOn ? coveredFrom : countedOn,
      coveredUntil: row.removal ? addDays(countedOn, 1) : countedOn,
      coinMinor: row.coin_minor,
      noteMinor: row.note_minor,
      tokens: tokenList(row.tokens),
      meteredMinor: row.metered_minor,
    });
  }
  return counts.sort(byId);
}

function refundSlip(row: SlipRow, versions: readonly AgreementVersion[]): RefundSlipInput {
  const terms = (versions.filter((version) => version.startsOn <= row.accounting_date).at(-1) ?? versions[0])?.terms;
  if (terms === undefined) throw new Error('a refund slip without terms in force');
  return {
    id: row.id,
    machineId: row.machine_id,
    collectionId: row.collection_id,
    accountingDate: row.accounting_date as LocalDate,
    date: row.refunded_on as LocalDate,
    amountMinor: row.amount_minor,
    paidBy: row.paid_by === 'site' ? siteOf(terms) : operatorOf(terms),
  };
}

function cashless(row: MachineRecordRow): CashlessInput {
  const { id, machine_id: machineId, accounting_date: accountingDate, amount_minor: grossMinor, refunded_minor: refundedMinor } = row;
  return { id, machineId, accountingDate: accountingDate as LocalDate, grossMinor, refundedMinor };
}

function breakIn(row: MachineRecordRow): BreakInInput {
  const { id, machine_id: machineId, accounting_date: accountingDate, amount_minor: amountMinor } = row;
  return { id, machineId, accountingDate: accountingDate as LocalDate, amountMinor };
}

function handedCash(row: HandedRow): HandedCash {
  return {
    id: row.id,
    party: row.party_id,
    collectionId: row.collection_id,
    date: row.local_date as LocalDate,
    amountMinor: row.amount_minor,
    reason: 'handed',
  };
}

function paidOnAccount(row: OnAccountRow): HandedCash {
  return { id: row.id, party: row.party_id, collectionId: null, date: row.paid_on as LocalDate, amountMinor: BigInt(row.amount_minor), reason: 'on-account' };
}

/** Ids are unique, so this order is one and the same wherever the rows came from. */
function byId(first: { readonly id: string }, second: { readonly id: string }): number {
  return first.id < second.id ? -1 : 1;
}
