/**
 * Coins in the change tubes of a machine, as it tells them itself, against the funds that the books keep for them. The books
 * know what was filled in and emptied; what sales put into the tubes and what change took out of them only the machine knows.
 * The books know moves by their day, the machine tells at an hour: whether a move on the day of a read-out or of a count came
 * before or after it is unknown, and whatever fits best is taken for true. All amounts are minor units of one currency.
 */
export interface ToldTubes {
  /** Coins in the tubes at the read-out; null where the machine tells none. */
  readonly contentsMinor: bigint | null;
  /** Each since the machine was set up; null where it tells none. */
  readonly toTubesMinor: bigint | null;
  readonly paidOutMinor: bigint | null;
  /** Let out by a button of the machine, and not as change. */
  readonly paidOutByHandMinor: bigint | null;
  readonly filledMinor: bigint | null;
}

export interface ReadOut {
  /** Local date, YYYY-MM-DD. */
  readonly day: string;
  readonly told: ToldTubes;
}

export interface TubesMove {
  readonly kind: 'fund-filled' | 'fund-emptied';
  /** On which the coins moved, YYYY-MM-DD. */
  readonly day: string;
  readonly amountMinor: bigint;
}

/** All funds of the machine, counted on one day on which it was read out as well. */
export interface TubesCount extends ReadOut {
  readonly countedMinor: bigint;
}

export interface TubesFacts {
  readonly now: ReadOut;
  /** The read-out before, and the one before that; null where there is none. */
  readonly before: ReadOut | null;
  readonly earlier: ReadOut | null;
  /** `counted-apart`: the funds of the machine were counted last on different days, or not all of them ever. */
  readonly counted: TubesCount | 'never-counted' | 'counted-apart' | 'not-read-out-when-counted';
  /** Of the funds, up to the day of the read-out, without those that were taken back. */
  readonly moves: readonly TubesMove[];
}

export type TubesUnknown = 'no-contents' | 'never-counted' | 'counted-apart' | 'not-read-out-when-counted';

/** What the machine told of moves since the read-out before, what the books have that fits best, and told less booked. */
export interface Seen {
  readonly toldMinor: bigint;
  readonly bookedMinor: bigint;
  readonly differenceMinor: bigint;
}

export interface Tubes {
  /** Counted, and filled in less emptied since. */
  readonly bookedMinor: bigint;
  /** Coins that sales left in the tubes since the funds were counted, less change; null where nobody knows. */
  readonly keptMinor: bigint | null;
  /** Booked and kept: what should lie in the tubes. */
  readonly expectedMinor: bigint | null;
  /** Why nothing is expected; null where something is. */
  readonly unknown: TubesUnknown | null;
  /** Filled in, and let out by hand against emptied; null where there is no read-out before, or one of the two does not tell. */
  readonly filled: Seen | null;
  readonly letOut: Seen | null;
  /** Of each gap, below zero: coins that should be there are not. In the tubes: what fillings and coins let out do not explain. */
  readonly contentsGapMinor: bigint | null;
  /** Below zero: booked as filled in, and never seen by the machine. */
  readonly fillingsGapMinor: bigint | null;
  /** Below zero: let out by hand, and not in the books. */
  readonly letOutGapMinor: bigint | null;
}

export function tubesOf(facts: TubesFacts): Tubes {
  const { counted } = facts;
  const filled = seenSince(facts, 'fund-filled', 'filledMinor');
  const letOut = seenSince(facts, 'fund-emptied', 'paidOutByHandMinor');
  const gaps = { filled, letOut, fillingsGapMinor: filled?.differenceMinor ?? null, letOutGapMinor: letOut === null ? null : -letOut.differenceMinor };
  if (typeof counted === 'string') {
    return { ...gaps, bookedMinor: sumOf(facts.moves.map(signed)), keptMinor: null, expectedMinor: null, unknown: counted, contentsGapMinor: null };
  }
  const { now, moves } = facts;
  const contentsMinor = now.told.contentsMinor;
  const keptMinor = keptBetween(counted.told, now.told);
  const surelyMinor = counted.countedMinor + sumOf(moves.filter(({ day }) => day > counted.day && day < now.day).map(signed));
  const onDay = (day: string): bigint[] => moves.filter((move) => move.day === day).map(signed);
  if (keptMinor === null || contentsMinor === null) {
    return { ...gaps, bookedMinor: surelyMinor + (counted.day === now.day ? 0n : sumOf(onDay(now.day))), keptMinor, expectedMinor: null, unknown: 'no-contents', contentsGapMinor: null };
  }
  const doubtful = [...new Set([counted.day, now.day])].flatMap(onDay);
  const bookedMinor = surelyMinor + nearest(contentsMinor - keptMinor - surelyMinor, choicesOf(doubtful));
  const expectedMinor = bookedMinor + keptMinor;
  const explainedMinor = (gaps.fillingsGapMinor ?? 0n) + (gaps.letOutGapMinor ?? 0n);
  return { ...gaps, bookedMinor, keptMinor, expectedMinor, unknown: null, contentsGapMinor: beyond(contentsMinor - expectedMinor, explainedMinor) };
}

/** What of a difference another does not explain: coins that were booked as filled in and lie nowhere lack once, not twice. */
function beyond(differenceMinor: bigint, explainedMinor: bigint): bigint {
  if (differenceMinor > 0n !== explainedMinor > 0n) return differenceMinor;
  const restMinor = differenceMinor - explainedMinor;
  return restMinor > 0n === differenceMinor > 0n ? restMinor : 0n;
}

/** A machine without change tells of none: what it does not tell is nought. Without what went to the tubes nothing is known. */
function keptBetween(from: ToldTubes, to: ToldTubes): bigint | null {
  const inMinor = growth(to.toTubesMinor, from.toTubesMinor);
  return inMinor === null ? null : inMinor - (growth(to.paidOutMinor, from.paidOutMinor) ?? 0n);
}

/** Moves of a kind since the read-out before: as the machine told, and as the books have them. */
function seenSince({ now, before, earlier, moves }: TubesFacts, kind: TubesMove['kind'], figure: 'filledMinor' | 'paidOutByHandMinor'): Seen | null {
  const toldMinor = before === null ? null : growth(now.told[figure], before.told[figure]);
  if (before === null || toldMinor === null) return null;
  const own = moves.filter((move) => move.kind === kind);
  const onDay = (day: string): bigint[] => own.filter((move) => move.day === day).map(({ amountMinor }) => amountMinor);
  const within = (from: string, to: string): bigint => sumOf(own.filter(({ day }) => day > from && day < to).map(({ amountMinor }) => amountMinor));
  const carried = (): bigint[] => {
    const toldBeforeMinor = earlier === null || earlier.day === before.day ? null : growth(before.told[figure], earlier.told[figure]);
    if (earlier === null || toldBeforeMinor === null) return choicesOf(onDay(before.day));
    // What the read-out before had seen of its own day is not seen again; what it had not must be seen by now.
    const wantedMinor = toldBeforeMinor - within(earlier.day, before.day);
    const starts = choicesOf(onDay(earlier.day));
    const choices = choicesOf(onDay(before.day)).map((seenMinor) => ({ seenMinor, missMinor: size(wantedMinor - seenMinor - nearest(wantedMinor - seenMinor, starts)) }));
    const leastMinor = choices.reduce((least, { missMinor }) => (missMinor < least ? missMinor : least), choices[0]?.missMinor ?? 0n);
    return choices.filter(({ missMinor }) => missMinor === leastMinor).map(({ seenMinor }) => sumOf(onDay(before.day)) - seenMinor);
  };
  const surelyMinor = within(before.day, now.day);
  const today = choicesOf(onDay(now.day));
  const wantedMinor = toldMinor - surelyMinor;
  const fits = before.day === now.day ? today : carried().map((minor) => minor + nearest(wantedMinor - minor, today));
  const bookedMinor = surelyMinor + nearest(wantedMinor, fits);
  return { toldMinor, bookedMinor, differenceMinor: toldMinor - bookedMinor };
}

/** More sums than this are not tried: every day of a machine has a few moves. */
const MOST_CHOICES = 1000;

/** Every sum that some of the amounts come to, none of them included. */
function choicesOf(amounts: readonly bigint[]): bigint[] {
  let sums = new Set([0n]);
  for (const amount of amounts) {
    if (sums.size * 2 > MOST_CHOICES) return [...sums, sumOf(amounts)];
    sums = new Set([...sums, ...[...sums].map((sum) => sum + amount)]);
  }
  return [...sums];
}

/** Of the amounts, that which comes nearest to the wanted one; never empty. */
function nearest(wantedMinor: bigint, amounts: readonly bigint[]): bigint {
  return amounts.reduce((best, amount) => (size(wantedMinor - amount) < size(wantedMinor - best) ? amount : best), amounts[0] ?? 0n);
}

/** Null where one is not told, or the machine was set up anew in between. */
function growth(to: bigint | null, from: bigint | null): bigint | null {
  return to === null || from === null || to < from ? null : to - from;
}

const signed = ({ kind, amountMinor }: TubesMove): bigint => (kind === 'fund-filled' ? amountMinor : -amountMinor);
const sumOf = (amounts: readonly bigint[]): bigint => amounts.reduce((sum, amount) => sum + amount, 0n);
const size = (minor: bigint): bigint => (minor < 0n ? -minor : minor);
