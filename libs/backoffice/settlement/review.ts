import { bodyField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { selectErasedPayees } from '../party/erase.sql';
import { selectInTheWay, whyInTheWay } from '../variance/in-the-way';
import { whyNotFresh, type NotFresh } from './fresh';
import { groupBy } from './inputs/group-by';
import { loadInputs } from './inputs/load';
import { readResult } from './inputs/stored';
import { lockPeriods } from './inputs/targets.sql';
import { lockSettlements, periodsOfSettlements } from './number.sql';
import { selectOpenNotes } from './notes.sql';
import { markReviewed } from './review.sql';
import { insertEvents } from './save.sql';

export type Reviewed = {
  readonly reviewedIds: readonly string[];
  readonly refused: readonly { readonly settlementId: string; readonly why: NotFresh }[];
};

/**
 * Reviews those of some settlements that are drafts and still say what is known now, under the periods' locks: between
 * the comparison and COMMIT nothing can be accepted that would make them stale.
 */
export async function reviewFresh(
  tx: TenantTransaction,
  command: { settlementIds: readonly string[]; now: Date; by: string; newId: () => string },
): Promise<Reviewed> {
  await lockPeriods(tx, await periodsOfSettlements(tx, command.settlementIds));
  const rows = await lockSettlements(tx, { ids: command.settlementIds, state: 'draft' });
  const loaded = new Map((await loadInputs(tx, rows.map((row) => row.period_id))).map((each) => [each.target.period_id, each]));
  const found = await selectInTheWay(tx, rows.map((row) => row.id));
  const [flagged, uncounted] = [groupBy(found.flags, (flag) => flag.settlement_id), groupBy(found.uncounted, (row) => row.settlement_id)];
  const held = new Map((await selectOpenNotes(tx, 'hold', rows.map((row) => row.id))).map(({ settlement_id: id, note }) => [id, note]));
  const erased = await selectErasedPayees(tx, rows.map((row) => row.id));
  const judged = rows.map((row) => {
    const now = loaded.get(row.period_id);
    if (now === undefined) throw new Error('a settlement whose period is gone');
    return { settlementId: row.id, why: whyNotFresh(row, readResult(row.result), now) ?? whyInTheWay({ flags: flagged.get(row.id) ?? [], uncounted: uncounted.get(row.id) ?? [] }) ?? whyHeld(held.get(row.id)) ?? whyErased(erased.get(row.id)) };
  });
  const reviewedIds = judged.filter(({ why }) => why === undefined).map(({ settlementId }) => settlementId);
  await markReviewed(tx, { ids: reviewedIds, now: command.now, by: command.by });
  await insertEvents(tx, { ids: reviewedIds.map(command.newId), settlementIds: reviewedIds, kind: 'reviewed', at: command.now, by: command.by });
  return { reviewedIds, refused: judged.flatMap(({ settlementId, why }) => (why === undefined ? [] : [{ settlementId, why }])) };
}

/** A statement names its receiver. */
function whyErased(code: string | undefined): NotFresh | undefined {
  if (code === undefined) return undefined;
  const detail = `Who ${code} was is erased. Record their name and address again, and an account if they are paid to one.`;
  return { code: 'cannot-be-settled', detail, errors: [{ ...bodyField([]), code: 'payee-erased', message: detail, values: { party: code } }] };
}

function whyHeld(note: string | undefined): NotFresh | undefined {
  return note === undefined ? undefined : { code: 'settlement-held', detail: `Held: ${note}` };
}
