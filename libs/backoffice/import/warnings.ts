import type { ImportWarning } from '#contracts/import-file';
import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { answeredBy, sumOf } from '../refund-claim/answered-by';
import { selectFile } from './read.sql';
import { selectOpenClaimsOf, selectUnansweredRefunds, selectWaitingRefunds, type ClaimRow, type RefundRow } from './warnings.sql';

const MOST = 1_000;

/**
 * What somebody should look at before a file enters the books, and after: refunds of which nobody can tell which of the open claims they are. The claims
 * stay open, and whoever presents one of them again would be paid a second time.
 */
export function listImportWarnings(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<{ items: ImportWarning[] }>> {
  return perform(deps, caller, 'import.read', async ({ tx }) => {
    const file = await selectFile(tx, id);
    if (file === undefined) return refused('not-found');
    return done({ items: (await unanswered(tx, file)).slice(0, MOST).map(toWarning) });
  });
}

type Unanswered = { readonly refund: RefundRow; readonly claims: readonly ClaimRow[] };

async function unanswered(tx: TenantTransaction, { id, state }: { readonly id: string; readonly state: string }): Promise<Unanswered[]> {
  const waits = state === 'staged';
  if (!waits && state !== 'accepted') return [];
  const refunds = waits ? await selectWaitingRefunds(tx, id) : await selectUnansweredRefunds(tx, { fileId: id, limit: MOST });
  const open = new Set(refunds.length === 0 ? [] : await selectOpenClaimsOf(tx, [...new Set(refunds.map((refund) => refund.machine_id))]));
  return refunds.flatMap((refund): Unanswered[] => {
    const claims = [...open].filter((claim) => claim.site_id === refund.site_id && claim.machine_id === refund.machine_id && claim.refunded_on <= refund.day);
    if (!waits) return [{ refund, claims }];
    // As the file would enter: what one visit takes over is not there for the next one.
    const answered = answeredBy(claims, refund.amount_minor);
    for (const claim of answered) open.delete(claim);
    return answered.length > 0 || claims.length === 0 ? [] : [{ refund, claims }];
  });
}

function toWarning({ refund, claims }: Unanswered): ImportWarning {
  return {
    code: 'refund-answers-no-claim',
    lineNumber: refund.line_number,
    collectionId: refund.collection_id,
    siteCode: refund.site_code,
    machineTag: refund.machine_tag,
    collectedOn: refund.day,
    refund: moneyOf(refund.amount_minor, refund.currency),
    openClaims: claims.length,
    openSum: moneyOf(sumOf(claims), refund.currency),
  };
}
