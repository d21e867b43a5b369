/** Puts random events of an agreement into periods and issues them one after the other, also when some are known late. */
import { addDays, localDate, type LocalDate } from '#domain/calendar/local-date';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import {
  noCarries,
  type CountInput,
  type PeriodCarries,
  type PeriodInputs,
  type SettlementInputs,
  type SettlementResult,
} from '#domain/settlement/types';
import type { TaxRule } from '#domain/tax/types';
import type { AgreementVersion } from '#domain/terms/types';
import { inputs } from '#tests/support/settlement-inputs';
import { kinds, tags, type BoxEvent } from '#tests/support/settlement-arbitrary';

export const firstDay = localDate('2027-12-20');
const placedOn = localDate('2027-12-13');

/** Three periods of four weeks over the turn of a year and into a leap month. */
export const periodDays = [0, 28, 56].map((offset) => ({ from: addDays(firstDay, offset), until: addDays(firstDay, offset + 28) }));
export const span = { from: firstDay, days: 84 };

export type PeriodDays = (typeof periodDays)[number];

export interface Agreement {
  readonly versions: readonly AgreementVersion[];
  readonly taxRules: readonly TaxRule[];
  /** The periods that are settled, without a gap; four weeks each unless given. */
  readonly periods?: readonly PeriodDays[];
}

const periodsOf = ({ periods }: Agreement): readonly PeriodDays[] => periods ?? periodDays;

/** The inputs of one period as they are when exactly these events are known. */
export function periodInputs(agreement: Agreement, known: readonly BoxEvent[], index: number): PeriodInputs {
  const days = periodsOf(agreement)[index] ?? { from: firstDay, until: firstDay };
  const within = known.filter((event) => event.date >= days.from && event.date < days.until);
  const ref = (event: BoxEvent) => ({ machineId: `m-${event.tag}`, accountingDate: event.date });
  return {
    period: { id: `period-${index + 1}`, ...days },
    versions: agreement.versions,
    taxRules: agreement.taxRules,
    limits: [],
    machines: tags.map((tag, position) => ({
      id: `m-${tag}`,
      tag,
      kind: kinds[position % 2] ?? 'arcade',
      placements: [{ id: `p-${tag}`, from: placedOn, until: null }],
    })),
    counts: within.map((event): CountInput => ({
      ...ref(event),
      id: `c-${event.tag}-${event.date}`,
      collectionId: `visit-${event.date}`,
      placementId: `p-${event.tag}`,
      countedOn: event.date,
      coveredFrom: previousCount(known, event),
      coveredUntil: event.date,
      coinMinor: event.coinMinor,
      noteMinor: event.noteMinor,
      tokens: event.pieces === 0 ? [] : [{ tokenId: 'brass', pieces: event.pieces }],
      meteredMinor: event.meteredMinor,
    })),
    refundSlips: within
      .filter((event) => event.refundMinor > 0n)
      .map((event) => ({
        ...ref(event),
        id: `s-${event.tag}-${event.date}`,
        collectionId: `visit-${event.date}`,
        date: event.date,
        amountMinor: event.refundMinor,
        paidBy: event.refundBy,
      })),
    cashless: within
      .filter((event) => event.cashlessMinor > 0n)
      .map((event) => ({
        ...ref(event),
        id: `k-${event.tag}-${event.date}`,
        grossMinor: event.cashlessMinor,
        refundedMinor: event.cashlessBackMinor,
      })),
    breakIns: within
      .filter((event) => event.stolenMinor > 0n)
      .map((event) => ({ ...ref(event), id: `b-${event.tag}-${event.date}`, amountMinor: event.stolenMinor })),
  };
}

function previousCount(known: readonly BoxEvent[], event: BoxEvent): LocalDate {
  const before = known.filter((candidate) => candidate.tag === event.tag && candidate.date < event.date).map((candidate) => candidate.date);
  return before.reduce((latest, date) => (date > latest ? date : latest), placedOn);
}

export interface LateEvent {
  readonly event: BoxEvent;
  /** In which settlement it is known: at the earliest in that of its own period. */
  readonly knownIn: number;
}

/** Issues all periods and one supplementary settlement for whatever is known last. */
export function issueAll(
  agreement: Agreement,
  events: readonly LateEvent[],
): { readonly inputs: SettlementInputs[]; readonly results: SettlementResult[] } {
  const given: SettlementInputs[] = [];
  const results: SettlementResult[] = [];
  for (let index = 0; index <= periodsOf(agreement).length; index += 1) {
    const next = nextInputs(agreement, events, index, results);
    given.push(next);
    results.push(settle(next));
  }
  return { inputs: given, results };
}

function nextInputs(agreement: Agreement, events: readonly LateEvent[], index: number, results: readonly SettlementResult[]): SettlementInputs {
  const knownBy = (settlement: number) => events.filter(({ knownIn }) => knownIn <= settlement).map(({ event }) => event);
  const now = (period: number) => periodInputs(agreement, knownBy(index), period);
  const before = (period: number) => periodInputs(agreement, knownBy(index - 1), period);
  const periods = periodsOf(agreement);
  const issuedPeriods = periods.map((_days, period) => period).filter((period) => period < index);
  const firstChanged = issuedPeriods.find((period) => !sameInputs(now(period), before(period)));
  const changed = firstChanged === undefined ? [] : issuedPeriods.filter((period) => period >= firstChanged);
  const current = index < periods.length ? now(index) : emptyPeriod(now(periods.length - 1));
  return inputs(current, {
    kind: index < periods.length ? 'regular' : 'supplementary',
    carriesIn: carriesAfter(results, (changed[0] ?? Math.min(index, periods.length)) - 1),
    earlier: changed.map((period) => ({ inputs: now(period), issued: issuedLines(results, `period-${period + 1}`) })),
  });
}

/** The period after the last one: nothing happens in it any more. */
function emptyPeriod(last: PeriodInputs): PeriodInputs {
  const until = addDays(last.period.until, 1);
  return { ...last, period: { id: 'after', from: last.period.until, until }, taxRules: [], counts: [], refundSlips: [], cashless: [], breakIns: [] };
}

/** What a period leaves by the latest computation of it. */
function carriesAfter(results: readonly SettlementResult[], period: number): PeriodCarries {
  const computed = results.flatMap((result) => result.periods).filter((each) => each.period.id === `period-${period + 1}`);
  return computed[computed.length - 1]?.carriesOut ?? noCarries;
}

function sameInputs(left: PeriodInputs, right: PeriodInputs): boolean {
  const text = (value: PeriodInputs) => JSON.stringify(value, (_key, entry: unknown) => (typeof entry === 'bigint' ? entry.toString() : entry));
  return text(left) === text(right);
}
