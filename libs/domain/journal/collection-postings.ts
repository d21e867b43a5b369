/**
 * What an accepted collection posts. The boxes' cash is in the house and waits for the settlement of its agreement; what
 * was handed to a payee before bagging is in their hands until the settlement sets it off.
 */
import type { AccountCode } from '#domain/journal/accounts';
import type { EntryPosting } from '#domain/journal/types';
import type { PartyId } from '#domain/terms/types';

export interface AcceptedCash {
  readonly agreementId: string;
  /** Everything that came out of the boxes, what was handed out before bagging included. */
  readonly countedMinor: bigint;
  readonly handed: readonly { readonly party: PartyId; readonly amountMinor: bigint }[];
  /** Refund slips that the operator paid from cash of its own; the settlement gives them back to it. */
  readonly refundsByOperatorMinor: bigint;
  /** Of the cash what who collected has counted at the machines, and has until it is handed in; left out where there is none. The rest lies in the counting room. */
  readonly withCollector?: { readonly collectorId: string | null; readonly amountMinor: bigint };
}

/** One posting per account, debits positive; accounts that nothing happens on are left out. */
export function collectionPostings(cash: AcceptedCash): EntryPosting[] {
  const withCollectorMinor = cash.withCollector?.amountMinor ?? 0n;
  const handedMinor = cash.handed.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
  const handedByParty = new Map<PartyId, bigint>();
  for (const { party, amountMinor } of cash.handed) handedByParty.set(party, (handedByParty.get(party) ?? 0n) + amountMinor);
  return [
    posting('cash-in-counting-room', null, cash.countedMinor - handedMinor - cash.refundsByOperatorMinor - withCollectorMinor),
    posting('cash-with-collector', cash.withCollector?.collectorId ?? null, withCollectorMinor),
    ...[...handedByParty].map(([party, amountMinor]) => posting('cash-handed', party, amountMinor)),
    posting('refunds-advanced-by-operator', null, cash.refundsByOperatorMinor),
    posting('takings-to-settle', cash.agreementId, -cash.countedMinor),
  ].filter(({ amountMinor }) => amountMinor !== 0n);
}

/** What a corrected count posts: only the difference, so that the first entry stays as it was. */
export function correctionPostings(correction: { readonly agreementId: string; readonly differenceMinor: bigint }): EntryPosting[] {
  const { agreementId, differenceMinor } = correction;
  return collectionPostings({ agreementId, countedMinor: differenceMinor, handed: [], refundsByOperatorMinor: 0n });
}

/** The same for cash of boxes that were counted at the machine: it is with who collected until it is handed in. */
export function withCollector(postings: readonly EntryPosting[], collectorId: string | null): EntryPosting[] {
  return postings.map((each) => (collectorId !== null && each.account.code === 'cash-in-counting-room' ? { ...each, account: { code: 'cash-with-collector', holderId: collectorId } } : each));
}

/** The same where an amount went out of other cash than the books have it: out of that of one collector before, and of another or the counting room (null) `now`. */
export function takenFromOther(postings: readonly EntryPosting[], { amountMinor, before, now }: { readonly amountMinor: bigint; readonly before: string | null; readonly now: string | null }): EntryPosting[] {
  if (before === now) return [...postings];
  const cashOf = (collectorId: string | null): EntryPosting['account'] => (collectorId === null ? { code: 'cash-in-counting-room', holderId: null } : { code: 'cash-with-collector', holderId: collectorId });
  const moved = [{ account: cashOf(before), amountMinor }, { account: cashOf(now), amountMinor: -amountMinor }];
  const isSame = (one: EntryPosting, other: EntryPosting): boolean => one.account.code === other.account.code && one.account.holderId === other.account.holderId;
  const rest = postings.filter((each) => !moved.some((cash) => isSame(cash, each)));
  const summed = moved.map((cash) => ({ ...cash, amountMinor: postings.reduce((sum, each) => (isSame(cash, each) ? sum + each.amountMinor : sum), cash.amountMinor) }));
  return [...summed, ...rest].filter((each) => each.amountMinor !== 0n);
}

function posting(code: AccountCode, holderId: string | null, amountMinor: bigint): EntryPosting {
  return { account: { code, holderId }, amountMinor };
}
