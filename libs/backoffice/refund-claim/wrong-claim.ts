import type { RefundEntry } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import type { WrongField } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';

/** A claim that a slip names, as far as the two are compared. */
export type NamedClaim = {
  readonly id: string;
  readonly site_id: string;
  readonly machine_id: string;
  readonly machine_tag: string;
  readonly refunded_on: LocalDate;
  readonly currency: CurrencyCode;
  readonly amount_minor: bigint;
  readonly is_open: boolean;
};

type Place = { readonly claims: ReadonlyMap<string, NamedClaim> | undefined; readonly siteId: string; readonly machineId: string };

/** What a slip says must be what its claim says: a difference is for the office, who refuses the claim, and not for whoever collects. */
export function wrongClaim(entry: RefundEntry, path: WrongField['path'], { claims, siteId, machineId }: Place): WrongField[] {
  if (entry.claimId === undefined) return [];
  const at = [...path, 'claimId'];
  const claim = claims?.get(entry.claimId);
  if (claim === undefined || claim.site_id !== siteId) return [{ path: at, code: 'unknown', message: 'The site has no claim with this id.' }];
  if (!claim.is_open) return [{ path: at, code: 'claim-not-open', message: 'This claim was taken over, refused or taken back already.' }];
  const isSame = claim.machine_id === machineId && claim.refunded_on === entry.refundedOn && claim.amount_minor === toAmount(entry.amount).minor && entry.paidBy === 'site';
  return isSame ? [] : [{ path: at, code: 'differs-from-claim', message: `The claim is of machine ${claim.machine_tag} on ${claim.refunded_on}, of another amount, or the site paid it: enter another slip without it.` }];
}

/** One claim, one slip. */
export function claimNamedTwice(entries: readonly RefundEntry[]): WrongField[] {
  const seen = new Set<string>();
  return entries.flatMap(({ claimId }, index) => {
    if (claimId === undefined) return [];
    if (seen.has(claimId)) return [{ path: ['refunds', index, 'claimId'], code: 'twice', message: 'Another slip of this visit names the same claim.' }];
    seen.add(claimId);
    return [];
  });
}
