import fc from 'fast-check';
import { custodyKinds, heldAt, knownAt, sameWhereabouts, timelineOf, type CustodyFact, type CustodyKind, type Holder, type Whereabouts } from './custody';

const safe: Holder = { kind: 'store', id: 'safe' };
const orla: Holder = { kind: 'person', id: 'orla' };
const pim: Holder = { kind: 'person', id: 'pim' };
const hook: Holder = { kind: 'place', id: 'hook' };

let serial = 0;
const fact = (says: CustodyKind | null, happenedAt: number, to: Holder | null = null, more: Partial<CustodyFact> = {}): CustodyFact => {
  serial += 1;
  return { eventId: `e${serial}`, says, correctsId: null, happenedAt, recordedAt: happenedAt, to, ...more };
};
const where = (facts: readonly CustodyFact[], moment: number): Whereabouts | null => {
  const timeline = timelineOf(facts);
  if (!timeline.ok) throw new Error(timeline.problem.code);
  return heldAt(timeline.intervals, moment);
};
const problem = (...facts: CustodyFact[]): string => {
  const timeline = timelineOf(facts);
  return timeline.ok ? 'fits' : timeline.problem.code;
};

describe('the life of one copy', () => {
  const life = [fact('made', 1, safe), fact('issued', 5, orla), fact('reported-missing', 8), fact('found', 9, safe), fact('destroyed', 12)];

  it.each([
    [0, null],
    [1, { state: 'held', holder: safe }],
    [4, { state: 'held', holder: safe }],
    [5, { state: 'held', holder: orla }],
    [8, { state: 'missing' }],
    [9, { state: 'held', holder: safe }],
    [12, { state: 'destroyed' }],
    [99, { state: 'destroyed' }],
  ] as const)('at %s', (moment, expected) => {
    expect(where(life, moment)).toEqual(expected);
  });

  it('a copy seen where it was known to be stays there by the event that brought it', () => {
    const made = fact('made', 1, safe);
    expect(timelineOf([made, fact('seen', 3, safe)])).toEqual({ ok: true, intervals: [{ from: 1, to: null, where: { state: 'held', holder: safe }, eventId: made.eventId }] });
  });

  it('a copy seen with somebody else is there: the truth is taken down', () => {
    expect(where([fact('made', 1, safe), fact('seen', 3, pim)], 3)).toEqual({ state: 'held', holder: pim });
  });
});

describe('what cannot have happened', () => {
  const made = fact('made', 5, safe);
  it.each([
    ['before-made', [made, fact('issued', 4, orla)]],
    ['before-made', [fact('issued', 4, orla)]],
    ['made-twice', [made, fact('made', 6, safe)]],
    ['made-twice', [made, fact('duplicated', 6, safe)]],
    ['after-destroyed', [made, fact('destroyed', 6), fact('issued', 7, orla)]],
    ['not-missing', [made, fact('found', 6, orla)]],
    ['is-missing', [made, fact('reported-missing', 6), fact('issued', 7, orla)]],
    ['is-missing', [made, fact('reported-missing', 6), fact('reported-missing', 7)]],
    ['same-moment', [made, fact('issued', 6, orla), fact('returned', 6, safe)]],
  ] as const)('%s', (code, facts) => {
    expect(problem(...facts)).toBe(code);
  });

  it('names the event that does not fit, also when it was recorded before the one that is in its way', () => {
    const issued = fact('issued', 9, orla, { recordedAt: 10 });
    expect(timelineOf([made, issued, fact('reported-missing', 7, null, { recordedAt: 20 })])).toEqual({ ok: false, problem: { code: 'is-missing', eventId: issued.eventId } });
  });
});

describe('corrections and the two clocks', () => {
  const made = fact('made', 1, safe);
  const toOrla = fact('issued', 3, orla, { recordedAt: 3 });
  const toPim = fact('issued', 4, pim, { recordedAt: 7, correctsId: toOrla.eventId });
  const nothing = fact(null, 9, null, { recordedAt: 9, correctsId: toPim.eventId });
  const facts = [made, toOrla, toPim, nothing];

  it.each([
    ['before the correction', 5, 4, orla],
    ['after it, before the corrected time', 7, 3, safe],
    ['after it', 7, 4, pim],
    ['after the correction was corrected: nothing happened', 9, 4, safe],
  ] as const)('what was believed %s', (_, believedAt, moment, holder) => {
    expect(where(knownAt(facts, believedAt), moment)).toEqual({ state: 'held', holder });
  });
});

// The model: no intervals, no sorting; it asks for each moment which event was the last one before it.
const standing = (facts: readonly CustodyFact[]): CustodyFact[] => facts.filter((each) => each.says !== null && facts.every((other) => other.correctsId !== each.eventId));
const latestUpTo = (facts: readonly CustodyFact[], moment: number): CustodyFact | null =>
  standing(facts).reduce<CustodyFact | null>((latest, each) => (each.happenedAt <= moment && (latest === null || each.happenedAt > latest.happenedAt) ? each : latest), null);
function modelWhere(facts: readonly CustodyFact[], moment: number): string {
  const latest = latestUpTo(facts, moment);
  if (latest === null) return 'nowhere';
  return latest.says === 'reported-missing' ? 'missing' : latest.says === 'destroyed' ? 'destroyed' : `${latest.to?.kind ?? ''} ${latest.to?.id ?? ''}`;
}
function modelAllows(facts: readonly CustodyFact[]): boolean {
  const all = standing(facts);
  const begun = all.filter(({ says }) => says === 'made' || says === 'duplicated');
  const distinct = new Set(all.map(({ happenedAt }) => happenedAt)).size === all.length;
  if (all.length === 0) return true;
  return begun.length === 1 && distinct && all.every((each) => {
    const before = modelWhere(facts, each.happenedAt - 1);
    if (each === begun[0]) return before === 'nowhere';
    if (before === 'nowhere' || before === 'destroyed') return false;
    if (before === 'missing') return each.says === 'found' || each.says === 'destroyed';
    return each.says !== 'found';
  });
}
const shown = (place: Whereabouts | null): string => (place === null ? 'nowhere' : place.state === 'held' ? `${place.holder.kind} ${place.holder.id}` : place.state);

const MOMENTS = 24;
const attempts = fc.array(
  fc.record({
    says: fc.option(fc.constantFrom(...custodyKinds), { freq: 12 }),
    happenedAt: fc.integer({ min: 0, max: MOMENTS }),
    to: fc.constantFrom(safe, orla, pim, hook),
    corrects: fc.option(fc.nat(30), { freq: 3 }),
  }),
  { minLength: 5, maxLength: 40 },
);

/** Facts as they came in one after the other: what does not fit is refused, as the books refuse it. */
function taken(tries: readonly { says: CustodyKind | null; happenedAt: number; to: Holder; corrects: number | null }[], seen: (next: readonly CustodyFact[], fits: boolean) => void): CustodyFact[] {
  let facts: CustodyFact[] = [{ eventId: 'first', says: 'made', correctsId: null, happenedAt: 2, recordedAt: 0, to: safe }];
  tries.forEach(({ says, happenedAt, to, corrects }, index) => {
    const old = corrects === null ? undefined : facts[corrects % facts.length];
    if (old === undefined && says === null) return;
    if (old !== undefined && facts.some(({ correctsId }) => correctsId === old.eventId)) return;
    const noReceiver = says === null || says === 'reported-missing' || says === 'destroyed';
    const next = [...facts, { eventId: `e${index}`, says, correctsId: old?.eventId ?? null, happenedAt, recordedAt: index + 1, to: noReceiver ? null : to }];
    const fits = timelineOf(next).ok;
    seen(next, fits);
    if (fits) facts = next;
  });
  return facts;
}

describe('held against a model that knows nothing but single moments', () => {
  const counts = { taken: 0, refused: 0, late: 0, corrections: 0, missing: 0, destroyed: 0 };
  const settings = { numRuns: 2000 };

  it('takes and refuses the same events, and every copy is in exactly one place at every moment of its life, as known at any time', () => {
    fc.assert(
      fc.property(attempts, (tries) => {
        const facts = taken(tries, (next, fits) => {
          if (fits !== modelAllows(next)) throw new Error(`the timeline ${fits ? 'takes' : 'refuses'} what the model does not`);
          counts[fits ? 'taken' : 'refused'] += 1;
          if (fits && next.at(-1)?.correctsId !== null) counts.corrections += 1;
          if (fits && next.slice(0, -1).some(({ happenedAt }) => happenedAt > (next.at(-1)?.happenedAt ?? 0))) counts.late += 1;
        });
        for (const believedAt of [0, 3, 10, 50]) {
          const timeline = timelineOf(knownAt(facts, believedAt));
          if (!timeline.ok) throw new Error(timeline.problem.code);
          for (let moment = 0; moment <= MOMENTS + 1; moment += 1) {
            const places = timeline.intervals.filter(({ from, to }) => from <= moment && (to === null || moment < to));
            const begun = timeline.intervals[0] !== undefined && timeline.intervals[0].from <= moment;
            const [found, expected] = [shown(heldAt(timeline.intervals, moment)), modelWhere(knownAt(facts, believedAt), moment)];
            if (places.length !== (begun ? 1 : 0) || found !== expected) throw new Error(`${places.length} places at ${moment}: ${found} instead of ${expected}`);
          }
          timeline.intervals.slice(1).forEach((interval, index) => {
            const before = timeline.intervals[index];
            expect(before?.to).toBe(interval.from);
            expect(before !== undefined && sameWhereabouts(before.where, interval.where)).toBe(false);
          });
          if (timeline.intervals.some(({ where: place }) => place.state === 'missing')) counts.missing += 1;
          if (timeline.intervals.some(({ where: place }) => place.state === 'destroyed')) counts.destroyed += 1;
        }
      }),
      settings,
    );
    // Each thing that the property is about has to happen often enough to be tested by it.
    for (const [name, count] of Object.entries(counts)) expect([name, count >= settings.numRuns / 50]).toEqual([name, true]);
  });

  it('answers about the past stay the same whatever is recorded later, and do not depend on the order of reading', () => {
    fc.assert(
      fc.property(attempts, fc.nat(40), (tries, believedAt) => {
        const facts = taken(tries, () => undefined);
        const answer = timelineOf(knownAt(facts, believedAt));
        const early = taken(tries.slice(0, believedAt), () => undefined);
        expect(timelineOf(early)).toEqual(answer);
        expect(timelineOf(knownAt(facts.toReversed(), believedAt))).toEqual(answer);
      }),
      settings,
    );
  });
});
