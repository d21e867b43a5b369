/**
 * The way of the cash of one day: from the boxes into bags, from the bags onto the counting table, from there into the bank.
 * At each change of hands what should have arrived is compared with what did, and what lies between has a holder.
 *
 * Per round: opening float + cash removed - cash handed, refunds and funds filled = what the collector has to bring; that is
 * the bags, the cash of boxes that were counted whole at the machines, and what is left of the float. Such cash is with the
 * collector until the counting room says what it received. All amounts are minor units of one currency.
 */
import { bagFinding, bagHolder, type BagFacts, type BagFinding } from '#domain/cash-trail/bags';

export interface CollectedFacts {
  readonly collectionId: string;
  /** As counted at the machines; null where nobody counted there, or not all boxes. */
  readonly removedMinor: bigint | null;
  /** By the counting room, with everything that was taken out before bagging; else whole at the machine. Null until it is accepted. */
  readonly countedMinor: bigint | null;
  /** Of boxes that were counted at the machine alone: what was left of them, which the room receives in one sum; null where there are none. Known before acceptance. */
  readonly withCollectorMinor: bigint | null;
  readonly handedMinor: bigint;
  readonly refundsMinor: bigint;
  /** Put into change funds out of the boxes. */
  readonly filledMinor: bigint;
  readonly bags: readonly BagFacts[];
}

export interface RoundFacts {
  readonly floatGivenMinor: bigint;
  readonly floatReturnedMinor: bigint;
  /** Put into change funds out of the float, and taken out of them into it. */
  readonly filledFromFloatMinor: bigint;
  readonly emptiedIntoFloatMinor: bigint;
  /** What the room received of boxes that were counted whole at the machines; null where nobody has said so. */
  readonly handedInMinor: bigint | null;
  readonly collections: readonly CollectedFacts[];
}

export type Holder = 'collector' | 'counting-room';

/** Below zero: cash that should be there is not. */
export interface Gap {
  readonly kind: 'bags' | 'handed-in' | 'float' | 'paid-in';
  readonly collectionId: string | null;
  readonly amountMinor: bigint;
  readonly holder: Holder;
}

export interface Round {
  readonly floatMinor: bigint;
  readonly removedMinor: bigint;
  readonly handedMinor: bigint;
  readonly refundsMinor: bigint;
  readonly filledMinor: bigint;
  /** Float and cash removed less everything given out on the way. */
  readonly toBringMinor: bigint;
  /** What the counting room found in the bags. */
  readonly foundMinor: bigint;
  /** Of boxes that were counted whole at the machines. */
  readonly toHandInMinor: bigint;
  readonly handedInMinor: bigint | null;
  readonly floatReturnedMinor: bigint;
  /** Found, handed in and returned, less what was to be brought. */
  readonly differenceMinor: bigint;
  /** Collections with boxes that nobody counted at the machines: what was removed is taken from the counting room, so it can miss nothing. */
  readonly notCountedAtMachine: number;
  /** Collections that are not accepted yet: no figure has them. */
  readonly waiting: number;
  readonly gaps: readonly Gap[];
  readonly bags: readonly { readonly bagId: string; readonly finding: BagFinding; readonly holder: Holder }[];
}

export function roundOf(facts: RoundFacts): Round {
  const accepted = facts.collections.flatMap((each) => (each.countedMinor === null ? [] : [{ ...each, countedMinor: each.countedMinor, removedMinor: each.removedMinor ?? each.countedMinor }]));
  const handedMinor = sumOf(accepted, (each) => each.handedMinor);
  const refundsMinor = sumOf(accepted, (each) => each.refundsMinor);
  const filledMinor = sumOf(accepted, (each) => each.filledMinor) + facts.filledFromFloatMinor;
  const removedMinor = sumOf(accepted, (each) => each.removedMinor);
  const floatMinor = facts.floatGivenMinor + facts.emptiedIntoFloatMinor;
  const left = (each: (typeof accepted)[number]): bigint => each.countedMinor - each.handedMinor - each.refundsMinor - each.filledMinor;
  const toHandInMinor = sumOf(accepted, (each) => each.withCollectorMinor ?? 0n);
  const foundMinor = sumOf(accepted, left) - toHandInMinor;
  // What was handed in may be that of a visit that waits to be accepted: until then nothing is missed of it.
  const isHandInOpen = facts.collections.some((each) => each.withCollectorMinor !== null && each.countedMinor === null);
  const comparedMinor = isHandInOpen ? toHandInMinor : (facts.handedInMinor ?? 0n);
  const toBringMinor = floatMinor + removedMinor - handedMinor - refundsMinor - filledMinor;
  const boxGaps = accepted.map(
    (each): Gap => ({ kind: 'bags', collectionId: each.collectionId, amountMinor: each.countedMinor - each.removedMinor, holder: holderOfBags(each.bags) }),
  );
  const handInGap: Gap = { kind: 'handed-in', collectionId: null, amountMinor: comparedMinor - toHandInMinor, holder: 'collector' };
  const floatGap: Gap = { kind: 'float', collectionId: null, amountMinor: facts.floatReturnedMinor + facts.filledFromFloatMinor - floatMinor, holder: 'collector' };
  return {
    floatMinor,
    removedMinor,
    handedMinor,
    refundsMinor,
    filledMinor,
    toBringMinor,
    foundMinor,
    toHandInMinor,
    handedInMinor: facts.handedInMinor,
    floatReturnedMinor: facts.floatReturnedMinor,
    differenceMinor: foundMinor + comparedMinor + facts.floatReturnedMinor - toBringMinor,
    notCountedAtMachine: facts.collections.filter((each) => each.countedMinor !== null && each.removedMinor === null).length,
    waiting: facts.collections.length - accepted.length,
    gaps: [...boxGaps, handInGap, floatGap].filter(({ amountMinor }) => amountMinor !== 0n),
    bags: facts.collections.flatMap(({ bags }) =>
      bags.flatMap((bag) => {
        const finding = bagFinding(bag);
        return finding === null ? [] : [{ bagId: bag.bagId, finding, holder: bagHolder(finding) }];
      }),
    ),
  };
}

export interface RoomFacts {
  readonly rounds: readonly Pick<Round, 'foundMinor' | 'handedInMinor' | 'floatReturnedMinor'>[];
  readonly floatGivenMinor: bigint;
  /** Put into change funds out of the room, and taken out of them into it. */
  readonly filledMinor: bigint;
  readonly emptiedMinor: bigint;
  /** Into the bank, out of what was counted on this day. */
  readonly paidInMinor: bigint;
}

export interface Room extends RoomFacts {
  readonly foundMinor: bigint;
  readonly handedInMinor: bigint;
  readonly floatReturnedMinor: bigint;
  readonly toPayInMinor: bigint;
  readonly gap: Gap | null;
}

/** What the counting room had to pay in of a day: what it found and received, with what else came in and went out that day. */
export function roomOf(facts: RoomFacts): Room {
  const foundMinor = sumOf(facts.rounds, (round) => round.foundMinor);
  const floatReturnedMinor = sumOf(facts.rounds, (round) => round.floatReturnedMinor);
  const handedInMinor = sumOf(facts.rounds, (round) => round.handedInMinor ?? 0n);
  const toPayInMinor = foundMinor + handedInMinor + floatReturnedMinor + facts.emptiedMinor - facts.floatGivenMinor - facts.filledMinor;
  const amountMinor = facts.paidInMinor - toPayInMinor;
  return { ...facts, foundMinor, handedInMinor, floatReturnedMinor, toPayInMinor, gap: amountMinor === 0n ? null : { kind: 'paid-in', collectionId: null, amountMinor, holder: 'counting-room' } };
}

/** Where one bag was out of the collector's hands when its seal was another one, the counting room answers; else who filled and sealed them. */
function holderOfBags(bags: readonly BagFacts[]): Holder {
  const findings = bags.map(bagFinding);
  if (findings.some((finding) => finding === 'not-received' || finding === 'other-seal-when-received')) return 'collector';
  return findings.includes('other-seal-when-opened') ? 'counting-room' : 'collector';
}

function sumOf<Each>(list: readonly Each[], minor: (each: Each) => bigint): bigint {
  return list.reduce((sum, each) => sum + minor(each), 0n);
}
