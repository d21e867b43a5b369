// Random years of one agreement: what was signed, what the law said, what happened at the machines and when it became known.
import fc from 'fast-check';
import { addDays, localDate, type LocalDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import { noCarries, type HandedCash, type MachineInput, type PeriodCarries, type PeriodInputs, type SettlementInputs, type SettlementKind, type SettlementResult } from '#domain/settlement/types';
import type { LawLimit, TaxRule } from '#domain/tax/types';
import { checkTerms } from '#domain/terms/check-terms';
import type { AgreementVersion, Terms } from '#domain/terms/types';
import { arbitraryTaxRules, arbitraryTerms, arbitraryVersions, kinds, tags } from '#tests/support/settlement-arbitrary';
import { inputs, operator, other, site } from '#tests/support/settlement-inputs';

/** One thing that happened at a machine; days are counted from the first day of the timeline. */
interface Event {
  tag: string;
  day: number;
  /** How many days the bookkeeper moves it. */
  moved: number;
  counted: boolean;
  secondVisit: boolean;
  coinMinor: bigint;
  noteMinor: bigint;
  meteredMinor: bigint;
  pieces: number;
  refunds: readonly { amountMinor: bigint; paidBy: string }[];
  cashlessMinor: bigint;
  cashlessBackMinor: bigint;
  stolenMinor: bigint;
  /** How many settlements later than its own it becomes known. */
  late: number;
}

export interface Timeline {
  periods: readonly { from: LocalDate; until: LocalDate }[];
  machines: readonly MachineInput[];
  versions: readonly AgreementVersion[];
  taxRules: readonly TaxRule[];
  limits: readonly LawLimit[];
  events: readonly Event[];
  handed: readonly HandedCash[][];
  advances: readonly { id: string; party: string; openMinor: bigint }[];
  /** How the settlement after the last period is called; none if there is no such settlement. */
  after: SettlementKind | undefined;
}

const minor = (max: number) => fc.integer({ min: 0, max }).map(BigInt);
const seldom = <Value>(usual: Value, rare: fc.Arbitrary<Value>) => fc.oneof({ weight: 3, arbitrary: fc.constant(usual) }, { weight: 1, arbitrary: rare });

/** Calendar months over a leap February, four-week periods over the turn of a year, weeks, or visits on any days. */
const calendars: fc.Arbitrary<LocalDate[]> = fc.oneof(
  fc.constantFrom(['2027-12-01', '2028-01-01', '2028-02-01', '2028-03-01'], ['2028-01-01', '2028-02-01', '2028-03-01', '2028-04-01']).map((dates) => dates.map(localDate)),
  fc.constant([0, 28, 56, 84].map((offset) => addDays(localDate('2027-12-20'), offset))),
  fc.constantFrom('2027-12-13', '2028-02-14').map((first) => [0, 7, 14, 21].map((offset) => addDays(localDate(first), offset))),
  fc.tuple(fc.integer({ min: 1, max: 25 }), fc.integer({ min: 1, max: 25 }), fc.integer({ min: 12, max: 25 })).map(([first, second, third]) =>
    [0, first, first + second, first + second + third].map((offset) => addDays(localDate('2027-12-20'), offset)),
  ),
);

function machineOf(tag: string, position: number, firstDay: LocalDate, length: number): fc.Arbitrary<MachineInput> {
  const always = fc.constant([{ from: -7, until: null as number | null }]);
  const cut = fc.uniqueArray(fc.integer({ min: 1, max: length - 1 }), { minLength: 3, maxLength: 3 }).map((days) => days.sort((left, right) => left - right));
  const some = cut.chain(([first = 0, second = 0, third = 0]) =>
    fc.constantFrom<{ from: number; until: number | null }[]>([{ from: -7, until: second }], [{ from: first, until: null }], [{ from: first, until: third }], [{ from: -7, until: first }, { from: third, until: null }]),
  );
  const spans = fc.oneof({ weight: 2, arbitrary: always }, { weight: 1, arbitrary: some });
  return spans.map((list) => ({
    id: `m-${tag}`,
    tag,
    kind: kinds[position % 2] ?? 'arcade',
    placements: list.map(({ from, until }, index) => ({ id: `p-${tag}-${index}`, from: addDays(firstDay, from), until: until === null ? null : addDays(firstDay, until) })),
  }));
}

function eventsOver(length: number): fc.Arbitrary<Event[]> {
  const event = fc.record({
    tag: fc.constantFrom(...tags),
    day: fc.integer({ min: 0, max: length - 1 }),
    moved: seldom(0, fc.integer({ min: -4, max: 4 })),
    counted: fc.integer({ min: 0, max: 9 }).map((dice) => dice > 0),
    secondVisit: fc.boolean(),
    coinMinor: fc.oneof(minor(50), minor(60_000)),
    noteMinor: seldom(0n, minor(100_000)),
    meteredMinor: minor(80_000),
    pieces: fc.integer({ min: 0, max: 9 }),
    refunds: seldom<{ amountMinor: bigint; paidBy: string }[]>([], fc.array(fc.record({ amountMinor: minor(120_000), paidBy: fc.constantFrom(site, operator, other) }), { maxLength: 2 })),
    cashlessMinor: seldom(0n, minor(60_000)),
    cashlessBackMinor: seldom(0n, minor(20_000)),
    stolenMinor: seldom(0n, minor(30_000)),
    late: seldom(0, fc.integer({ min: 1, max: 2 })),
  });
  return fc.uniqueArray(event, { minLength: 5, maxLength: 24, selector: ({ tag, day }) => `${tag} ${day}` });
}

/** Terms of which only some parts change later: charges and guarantees go on under the new terms. */
function changedVersions(span: { from: LocalDate; days: number }): fc.Arbitrary<AgreementVersion[]> {
  const parts = fc.record({ split: fc.boolean(), grouping: fc.boolean(), guarantees: fc.boolean(), startsOn: fc.integer({ min: 4, max: span.days - 4 }) });
  return fc.tuple(arbitraryTerms, arbitraryTerms, parts).map(([given, other, takes]) => {
    const first: Terms = { ...given, charges: given.charges.map((charge) => ({ ...charge, rest: 'carry' })) };
    const { loss, basis, payout, tax, breakIns } = other;
    const base: Terms = { ...first, loss, basis, payout, tax, breakIns };
    const wished: Terms = { ...base, ...(takes.split ? { split: other.split } : {}), ...(takes.grouping ? { grouping: other.grouping } : {}), ...(takes.guarantees ? { guarantees: other.guarantees } : {}) };
    const terms = checkTerms(wished, { currency: first.currency, limits: [] }).length === 0 ? wished : base;
    const version = (id: string, startsOn: LocalDate, terms: Terms): AgreementVersion => ({ id, startsOn, terms });
    return [version('version-1', localDate('2020-01-01'), first), version('version-2', addDays(span.from, takes.startsOn), terms)];
  });
}

/** Now and then the same terms are signed once more. */
function withASecondSigning(versions: AgreementVersion[], again: { dice: number; day: LocalDate }): AgreementVersion[] {
  const latest = versions.filter((version) => version.startsOn < again.day).at(-1);
  if (again.dice > 0 || latest === undefined || versions.some((version) => version.startsOn === again.day)) return versions;
  return [...versions, { ...latest, id: 'signed-again', startsOn: again.day }];
}

const law = { areaId: 'area', source: 'invented for tests', from: localDate('2020-01-01'), until: null };
const laws: fc.Arbitrary<LawLimit[]> = fc.subarray<LawLimit>([
  { ...law, id: 'half', kind: 'highest-site-share', percent: decimal('50') },
  { ...law, id: 'free', kind: 'no-advances' },
]);

const payee = fc.constantFrom(site, site, other);

export const timelines: fc.Arbitrary<Timeline> = calendars.chain((cuts) => {
  const firstDay = cuts[0] ?? localDate('2028-01-01');
  const length = daysFrom(firstDay, cuts.at(-1) ?? firstDay);
  const periods = cuts.slice(1).map((until, index) => ({ from: cuts[index] ?? firstDay, until }));
  const span = { from: firstDay, days: length };
  const handed = fc.array(fc.record({ party: payee, amountMinor: minor(20_000), reason: fc.constantFrom('handed' as const, 'kept' as const, 'on-account' as const) }), { maxLength: 2 });
  return fc.record({
    periods: fc.constant(periods),
    machines: fc.tuple(...tags.map((tag, position) => machineOf(tag, position, firstDay, length))),
    versions: fc.tuple(fc.oneof({ weight: 1, arbitrary: arbitraryVersions(span) }, { weight: 3, arbitrary: changedVersions(span) }), fc.record({ dice: fc.integer({ min: 0, max: 4 }), day: fc.integer({ min: 0, max: length - 1 }).map((day) => addDays(firstDay, day)) })).map(([list, again]) => withASecondSigning(list, again)),
    taxRules: arbitraryTaxRules(span),
    limits: laws,
    events: eventsOver(length),
    handed: fc.array(handed, { minLength: 4, maxLength: 4 }).map((lists) =>
      lists.map((list, index) => list.map((one, position): HandedCash => ({ ...one, id: `h-${index}-${position}`, collectionId: null, date: firstDay }))),
    ),
    advances: fc.array(fc.record({ party: payee, openMinor: minor(30_000).map((amount) => amount + 1n) }), { maxLength: 3 }).map((list) => list.map((one, index) => ({ ...one, id: `a-${index}` }))),
    after: fc.constantFrom<SettlementKind | undefined>('regular', 'final', 'supplementary', undefined),
  });
});

function daysFrom(from: LocalDate, until: LocalDate): number {
  let days = 0;
  while (addDays(from, days) < until) days += 1;
  return days;
}

/** Counts, slips and readings of one period as far as they are known when a settlement is made. */
function periodInputs(timeline: Timeline, settlement: number, index: number): PeriodInputs {
  const { periods, machines } = timeline;
  const [first, last] = [periods[0]?.from ?? localDate('2028-01-01'), addDays(periods.at(-1)?.until ?? localDate('2028-01-01'), -1)];
  const period = periods[index] ?? { from: addDays(last, 1), until: addDays(last, 2) };
  const placed = timeline.events.flatMap((event) => {
    const countedOn = addDays(first, event.day);
    const placement = machines.find((machine) => machine.tag === event.tag)?.placements.find((one) => one.from <= countedOn && (one.until === null || countedOn < one.until));
    const accountingDate = [first, last, addDays(countedOn, event.moved)].sort()[1] ?? first;
    const own = periods.findIndex((one) => one.from <= accountingDate && accountingDate < one.until);
    return placement === undefined || own + event.late > settlement ? [] : [{ ...event, countedOn, accountingDate, placement }];
  });
  const within = placed.filter(({ accountingDate }) => accountingDate >= period.from && accountingDate < period.until);
  const about = (event: (typeof placed)[number], letter: string) => ({ id: `${letter}-${event.tag}-${event.countedOn}`, machineId: `m-${event.tag}`, accountingDate: event.accountingDate });
  const visit = (event: (typeof placed)[number]) => `visit-${event.countedOn}${event.secondVisit ? '-again' : ''}`;
  return {
    period: { id: `period-${index + 1}`, ...period },
    versions: timeline.versions,
    taxRules: timeline.taxRules,
    limits: timeline.limits,
    machines: machines.flatMap((machine) => {
      // A machine is named with the placements that touch the period, and with its last one if something is booked here after it left.
      const touching = machine.placements.filter((one) => within.some((event) => event.placement.id === one.id) || (one.from < period.until && (one.until === null || one.until > period.from)));
      return touching.length === 0 ? [] : [{ ...machine, placements: touching }];
    }),
    counts: within.filter((event) => event.counted).map((event) => {
      const before = placed.filter((one) => one.counted && one.tag === event.tag && one.placement.id === event.placement.id && one.countedOn < event.countedOn);
      const coveredFrom = before.reduce((latest, one) => (one.countedOn > latest ? one.countedOn : latest), event.placement.from);
      // The count with which a machine is taken away covers that day too.
      const removal = addDays(event.countedOn, 1) === event.placement.until;
      const covered = { countedOn: event.countedOn, coveredFrom, coveredUntil: addDays(event.countedOn, removal ? 1 : 0) };
      const { coinMinor, noteMinor, meteredMinor } = event;
      const tokens = event.pieces === 0 ? [] : [{ tokenId: 'brass', pieces: event.pieces }, { tokenId: 'worthless', pieces: 1 }];
      return { ...about(event, 'c'), collectionId: visit(event), placementId: event.placement.id, ...covered, coinMinor, noteMinor, tokens, meteredMinor };
    }),
    refundSlips: within.flatMap((event) => event.refunds.map((slip, number) => ({ ...about(event, `s${number}`), ...slip, collectionId: visit(event), date: event.countedOn }))),
    cashless: within.filter((event) => event.cashlessMinor > 0n).map((event) => ({ ...about(event, 'k'), grossMinor: event.cashlessMinor, refundedMinor: event.cashlessBackMinor })),
    breakIns: within.filter((event) => event.stolenMinor > 0n).map((event) => ({ ...about(event, 'b'), amountMinor: event.stolenMinor })),
  };
}

export interface Issued {
  inputs: SettlementInputs;
  result: SettlementResult;
  /** The place of the first period that is settled here. */
  firstPeriod: number;
}

/** All settlements of the timeline by the engine, each with what was known by then. */
export function issueAll(timeline: Timeline): Issued[] {
  const issued: Issued[] = [];
  const number = timeline.periods.length + (timeline.after === undefined ? 0 : 1);
  for (let index = 0; index < number; index += 1) {
    const next = nextInputs(timeline, index, issued.map((one) => one.result));
    issued.push({ ...next, result: settle(next.inputs) });
  }
  return issued;
}

function nextInputs(timeline: Timeline, index: number, results: readonly SettlementResult[]): { inputs: SettlementInputs; firstPeriod: number } {
  const earlier = Array.from({ length: index }, (_, period) => period);
  const firstChanged = earlier.find((period) => textOf(periodInputs(timeline, index, period)) !== textOf(periodInputs(timeline, index - 1, period)));
  const firstPeriod = firstChanged ?? index;
  const last = results.at(-1);
  const advances = timeline.advances.map((advance) => {
    const repaid = results.flatMap((result) => result.payables.flatMap((payable) => payable.advances)).filter((one) => one.advanceId === advance.id);
    return { ...advance, openMinor: repaid.at(-1)?.openAfterMinor ?? advance.openMinor };
  });
  const given = inputs(periodInputs(timeline, index, index), {
    kind: index < timeline.periods.length ? 'regular' : (timeline.after ?? 'regular'),
    carriesIn: carriesAfter(results, firstPeriod - 1),
    earlier: earlier.filter((period) => period >= firstPeriod).map((period) => ({ inputs: periodInputs(timeline, index, period), issued: issuedLines(results, `period-${period + 1}`) })),
    handedCash: timeline.handed[index] ?? [],
    advances: advances.filter((advance) => advance.openMinor > 0n),
    carriedItems: (last?.payables ?? []).filter((payable) => payable.outcome === 'carried').map((payable) => ({ id: `i-${payable.party}`, party: payable.party, amountMinor: payable.amountMinor })),
  });
  return { inputs: given, firstPeriod };
}

/** What a period leaves by the latest computation of it. */
function carriesAfter(results: readonly SettlementResult[], period: number): PeriodCarries {
  const computed = results.flatMap((result) => result.periods).filter((each) => each.period.id === `period-${period + 1}`);
  return computed.at(-1)?.carriesOut ?? noCarries;
}

function textOf(value: PeriodInputs): string {
  return JSON.stringify(value, (_key, entry: unknown) => (typeof entry === 'bigint' ? entry.toString() : entry));
}
