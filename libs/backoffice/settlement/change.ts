import { done, refused, type Outcome } from '#contracts/outcome';
import type { ReopenSettlement, Settlement } from '#contracts/settlement';
import type { OverrideFlags } from '#contracts/variance';
import type { TenantTransaction } from '#database/tenant';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { insertOverrides } from '../variance/gate.sql';
import { isClear, namedOneByOne, selectInTheWay } from '../variance/in-the-way';
import { settlementBody } from './body';
import { computeSettlement } from './compute';
import { loadInputs } from './inputs/load';
import { refusedBy } from './inputs/obstacle';
import { lockPeriods } from './inputs/targets.sql';
import { readSettlementRow, type SettlementDetailRow } from './read.sql';
import { reviewFresh } from './review';
import { markReopened } from './review.sql';
import { lineRows, settlementRow } from './rows';
import { refusedWhileCounted } from './sealed';
import { insertEvents, insertLines, updateDraft } from './save.sql';

type Command = { readonly id: string };

/**
 * Reviews one draft: the reader has seen the revision they name, and it still says what is known now. Refuses a stale one
 * with what has changed.
 */
export function reviewSettlement(deps: Backoffice, caller: Caller, command: Command & { expectedRevision: number }): Promise<Outcome<Settlement>> {
  return changeSettlement(deps, caller, { id: command.id, action: 'settlement.review', states: ['draft'] }, async ({ tx, now }, row) => {
    if (row.revision !== command.expectedRevision) return refused('changed-meanwhile');
    const { refused: stale } = await reviewFresh(tx, { settlementIds: [row.id], now, by: tx.actor, newId: deps.newId });
    const why = stale[0]?.why;
    return why === undefined ? null : refused(why.code, { detail: why.detail, ...(why.errors === undefined ? {} : { errors: why.errors }) });
  });
}

/**
 * Lets a settlement be reviewed although differences are not explained, or a machine left whose box nobody counted, with the owner's reason in its history.
 * Only what the owner was shown passes: what has come up since is named and refused, and what comes up later needs it again.
 */
export function overrideFlags(deps: Backoffice, caller: Caller, command: Command & OverrideFlags): Promise<Outcome<Settlement>> {
  return changeSettlement(deps, caller, { id: command.id, action: 'settlement.override-flags', states: ['draft'] }, async ({ tx, now }, row) => {
    const found = await selectInTheWay(tx, [row.id]);
    if (isClear(found)) return refused('wrong-state', { detail: 'Neither an open flag nor a box that nobody counted stands in the way of its review.' });
    const { flags, uncounted } = found;
    const [flagIds, placementIds] = [new Set(command.flagIds), new Set(command.placementIds)];
    const others = { flags: flags.filter((flag) => !flagIds.has(flag.flag_id)), uncounted: uncounted.filter((each) => !placementIds.has(each.placement_id)) };
    if (!isClear(others)) return refused('others-in-the-way', namedOneByOne(others));
    const eventId = deps.newId();
    await insertEvents(tx, { ids: [eventId], settlementIds: [row.id], kind: 'flags-overridden', note: command.reason, at: now, by: tx.actor });
    await insertOverrides(tx, { settlementId: row.id, flagIds: flags.map((flag) => flag.flag_id), placementIds: uncounted.map((each) => each.placement_id), eventId });
    return null;
  });
}

/** Takes a review back, with a note that the settlement's history keeps. */
export function reopenSettlement(deps: Backoffice, caller: Caller, command: Command & ReopenSettlement): Promise<Outcome<Settlement>> {
  return changeSettlement(deps, caller, { id: command.id, action: 'settlement.reopen', states: ['reviewed'] }, async ({ tx, now }, row) => {
    await markReopened(tx, row.id);
    await insertEvents(tx, { ids: [deps.newId()], settlementIds: [row.id], kind: 'reopened', note: command.note, at: now, by: tx.actor });
    return null;
  });
}

/** Computes a draft again from what is known now; a reviewed one becomes a draft. */
export function recomputeSettlement(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<Settlement>> {
  return changeSettlement(deps, caller, { id: command.id, action: 'settlement.recompute', states: ['draft', 'reviewed'] }, async ({ tx, now }, row) => {
    const [loaded] = await loadInputs(tx, [row.period_id]);
    if (loaded === undefined) throw new Error('a settlement whose period is gone');
    if ('obstacle' in loaded.from) return refusedBy(loaded.from.obstacle);
    const computed = computeSettlement(loaded.from.inputs);
    const written = settlementRow({ id: row.id, target: loaded.target, closeRunId: row.close_run_id, computed });
    await updateDraft(tx, { row: written, draftedAt: now });
    await insertLines(tx, lineRows(row.id, computed.result));
    await insertEvents(tx, { ids: [deps.newId()], settlementIds: [row.id], kind: 'recomputed', at: now, by: tx.actor });
    return null;
  });
}

/** Locks the period, then looks at the settlement: whoever came before has finished, and what is read stays so. Nobody changes what they are not shown. */
export function changeSettlement(
  deps: Backoffice,
  caller: Caller,
  asked: { id: string; action: Action; states: readonly string[] },
  work: (unit: Unit, row: SettlementDetailRow) => Promise<Outcome<never> | null>,
): Promise<Outcome<Settlement>> {
  return perform<Settlement>(deps, caller, asked.action, async (unit) => {
    const { tx, refusal, visibleSites } = unit;
    const row = await lockedRow(tx, asked.id);
    if (row === undefined) return refused('not-found');
    const denied = refusal({ siteId: row.site_id, state: row.state }) ?? (await refusedWhileCounted(unit, caller, row.site_id));
    if (denied !== null) return denied;
    // Commands and jobs are not bound by the table's states.
    if (!asked.states.includes(row.state)) return refused('wrong-state', { detail: `It is ${row.state}; this needs ${asked.states.join(' or ')}.` });
    const refusedNow = await work(unit, row);
    if (refusedNow !== null) return refusedNow;
    const changed = await readSettlementRow(tx, asked.id);
    if (changed === undefined) throw new Error('a settlement that was just changed is not there');
    return done(await settlementBody(tx, changed, { ownSites: visibleSites() !== 'every', language: caller.language }));
  });
}

async function lockedRow(tx: TenantTransaction, id: string): Promise<SettlementDetailRow | undefined> {
  const found = await readSettlementRow(tx, id);
  if (found === undefined) return undefined;
  await lockPeriods(tx, [found.period_id]);
  await tx.sql('SELECT FROM settlement WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
  return readSettlementRow(tx, id);
}
