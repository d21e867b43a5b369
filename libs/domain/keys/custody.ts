/**
 * Where a key copy was at every moment, derived from what was recorded about it. Events are never changed: a correction
 * is one more event that takes the place of an earlier one. Moments are plain numbers that grow; what unit they have is
 * the caller's business.
 */

/** What can happen to a copy. `made` and `duplicated` begin its life, `destroyed` ends it. */
export const custodyKinds = ['made', 'duplicated', 'issued', 'returned', 'handed-over', 'reported-missing', 'found', 'destroyed', 'seen'] as const;
export type CustodyKind = (typeof custodyKinds)[number];

/** A person, a store of the operator (safe, van, envelope), or a named place at a site (hook, key safe). */
export type Holder = { readonly kind: 'person' | 'store' | 'place'; readonly id: string };

/** Exactly one of these at every moment of a copy's life. */
export type Whereabouts = { readonly state: 'held'; readonly holder: Holder } | { readonly state: 'missing' } | { readonly state: 'destroyed' };

/** One event as far as it concerns one copy. */
export type CustodyFact = {
  readonly eventId: string;
  /** What happened; `null` for a correction by which nothing happened. */
  readonly says: CustodyKind | null;
  /** The event that this one takes the place of. */
  readonly correctsId: string | null;
  readonly happenedAt: number;
  readonly recordedAt: number;
  /** Who has the copy afterwards; `null` for missing and destroyed. */
  readonly to: Holder | null;
};

/** From `from` up to, not including, `to` (`null`: still). */
export type CustodyInterval = { readonly from: number; readonly to: number | null; readonly where: Whereabouts; readonly eventId: string };

/** Why events cannot have happened to one copy; `eventId` is the one that does not fit those before it. */
export type CustodyProblem = {
  readonly code: 'before-made' | 'made-twice' | 'after-destroyed' | 'same-moment' | 'not-missing' | 'is-missing';
  readonly eventId: string;
};

export type Timeline = { readonly ok: true; readonly intervals: readonly CustodyInterval[] } | { readonly ok: false; readonly problem: CustodyProblem };

/**
 * The timeline of one copy from its events, in any order. What an event says of its giver is not asked here: a key that
 * turns up with somebody else than the books said is the truth, and {@link heldAt} tells whether it surprises.
 */
export function timelineOf(facts: readonly CustodyFact[]): Timeline {
  const intervals: CustodyInterval[] = [];
  let open: CustodyInterval | null = null;
  let lastMoment: number | null = null;
  for (const fact of standingFacts(facts)) {
    const code = problemOf({ fact, where: open?.where ?? null, lastMoment });
    if (code !== null) return { ok: false, problem: { code, eventId: fact.eventId } };
    lastMoment = fact.happenedAt;
    const where = whereaboutsAfter(fact);
    // A copy seen where it was known to be goes on being there since the event that brought it.
    if (open !== null && sameWhereabouts(open.where, where)) continue;
    if (open !== null) intervals.push({ ...open, to: fact.happenedAt });
    open = { from: fact.happenedAt, to: null, where, eventId: fact.eventId };
  }
  return { ok: true, intervals: open === null ? intervals : [...intervals, open] };
}

/** What had been recorded by then: what the books believed. */
export function knownAt(facts: readonly CustodyFact[], moment: number): CustodyFact[] {
  return facts.filter((fact) => fact.recordedAt <= moment);
}

/** Where the copy was at a moment; `null` before it was made. */
export function heldAt(intervals: readonly CustodyInterval[], moment: number): Whereabouts | null {
  return intervals.find(({ from, to }) => from <= moment && (to === null || moment < to))?.where ?? null;
}

export function sameWhereabouts(left: Whereabouts, right: Whereabouts): boolean {
  if (left.state === 'held' && right.state === 'held') return sameHolder(left.holder, right.holder);
  return left.state === right.state;
}

export function sameHolder(left: Holder, right: Holder): boolean {
  return left.kind === right.kind && left.id === right.id;
}

/** Facts that no correction took the place of, by the time they happened. A correction may be corrected in turn. */
export function standingFacts(facts: readonly CustodyFact[]): (CustodyFact & { says: CustodyKind })[] {
  const corrected = new Set(facts.map((fact) => fact.correctsId));
  return facts
    .filter((fact): fact is CustodyFact & { says: CustodyKind } => fact.says !== null && !corrected.has(fact.eventId))
    .sort((left, right) => left.happenedAt - right.happenedAt || left.recordedAt - right.recordedAt);
}

function problemOf(step: { fact: CustodyFact; where: Whereabouts | null; lastMoment: number | null }): CustodyProblem['code'] | null {
  const { fact, where, lastMoment } = step;
  const begins = fact.says === 'made' || fact.says === 'duplicated';
  if (where === null) return begins ? null : 'before-made';
  if (begins) return 'made-twice';
  if (where.state === 'destroyed') return 'after-destroyed';
  // Two events of one moment would leave it to chance who held the copy afterwards.
  if (lastMoment !== null && fact.happenedAt <= lastMoment) return 'same-moment';
  if (where.state === 'missing' && fact.says !== 'found' && fact.says !== 'destroyed') return 'is-missing';
  if (where.state !== 'missing' && fact.says === 'found') return 'not-missing';
  return null;
}

function whereaboutsAfter(fact: CustodyFact & { says: CustodyKind }): Whereabouts {
  if (fact.says === 'reported-missing') return { state: 'missing' };
  if (fact.says === 'destroyed') return { state: 'destroyed' };
  if (fact.to === null) throw new Error(`${fact.says} without a receiver: ${fact.eventId}`);
  return { state: 'held', holder: fact.to };
}
