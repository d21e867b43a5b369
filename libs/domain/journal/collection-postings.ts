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
}

/** One posting per account, debits positive; accounts that nothing happens on are left out. */
export function collectionPostings(cash: AcceptedCash): EntryPosting[] {
  const handedMinor = cash.handed.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
  const handedByParty = new Map<PartyId, bigint>();
  for (const { party, amountMinor } of cash.handed) handedByParty.set(party, (handedByParty.get(party) ?? 0n) + amountMinor);
  return [
    posting('cash-in-counting-room', null, cash.countedMinor - handedMinor - cash.refundsByOperatorMinor),
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

/** The same where the boxes were counted whole at the machine: the cash is with who collected until it is handed in. */
export function withCollector(postings: readonly EntryPosting[], collectorId: string | null): EntryPosting[] {
  return postings.map((each) => (collectorId !== null && each.account.code === 'cash-in-counting-room' ? { ...each, account: { code: 'cash-with-collector', holderId: collectorId } } : each));
}

function posting(code: AccountCode, holderId: string | null, amountMinor: bigint): EntryPosting {
  return { account: { code, holderId }, amountMinor };
}
