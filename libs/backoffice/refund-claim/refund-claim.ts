import { formatInstant } from '#contracts/format';
import { moneyOf, toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { EnterRefundClaim, OpenRefundClaim, RefundClaim, RefundClaimListQuery } from '#contracts/refund-claim';
import type { TenantTransaction } from '#database/tenant';
import { can } from '#domain/permissions/can';
import type { Action } from '#domain/permissions/table';
import { z } from 'zod';
import type { Caller } from '../caller';
import { selectVisitedSite, shareMachinePlacements } from '../collection/directory.sql';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform, type Unit } from '../perform';
import { placementOn } from '../placement/standing';
import { fieldFailure, notPlacedHere, otherCurrency, taken } from '../refusal';
import { insertClaim, lockClaim, selectClaim, selectClaims, updateRefused, updateWithdrawn, type OpenClaimRow, type RefundClaimRow } from './refund-claim.sql';

const constraints = {
  refund_claim_pkey: taken(['id'], 'a claim with this id'),
  refund_claim_number_once: fieldFailure('already-exists', { path: ['number'], code: 'number-taken', message: 'A slip with this number was entered for this site already.' }),
};

/**
 * Enters what a site gave back to a player out of its own till. It is a proposal and in no books: a collection takes it over
 * as the refund slip that is presented there, or the office refuses it. It tells whoever enters it nothing of what a box holds.
 */
export function enterRefundClaim(deps: Backoffice, caller: Caller, command: EnterRefundClaim): Promise<Outcome<RefundClaim>> {
  const { siteId, machineTag, number = null, refundedOn, amount, reason } = command;
  return perform(
    deps,
    caller,
    'refund-claim.enter',
    async ({ tx, now, refusal }) => {
      const site = await selectVisitedSite(tx, siteId);
      if (site === null || refusal({ siteId }) !== null) return refusedFields('invalid-command', [{ path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' }]);
      const wrong: WrongField[] = [];
      const today = localDay({ instant: now, timeZone: site.time_zone });
      if (today === null || refundedOn > today) wrong.push({ path: ['refundedOn'], code: 'in-the-future', message: 'This day has not come yet.' });
      if (amount.currency !== site.currency) wrong.push(otherCurrency(['amount', 'currency'], `Site ${site.code} is kept in`, site.currency));
      const rows = await shareMachinePlacements(tx, { tags: [machineTag], placementIds: [] });
      const placements = rows.flatMap(({ id, site_id: at, placed_on: placedOn, removed_on: removedOn }) => (id === null || at === null || placedOn === null ? [] : [{ id, siteId: at, placedOn, removedOn }]));
      const days = { placements, siteId, day: refundedOn };
      const placement = placementOn({ ...days, removal: false }) ?? placementOn({ ...days, removal: true });
      // Of a machine elsewhere a site is told no more than of one that nobody has.
      if (placement === null) wrong.push(notPlacedHere(['machineTag'], { machineTag, where: `at ${site.code}`, day: refundedOn }));
      const machineId = rows[0]?.machine_id;
      if (wrong.length > 0 || placement === null || machineId === undefined) return refusedFields('invalid-command', wrong);
      const id = command.id ?? deps.newId();
      await insertClaim(tx, { id, site_id: siteId, placementId: placement.id, machine_id: machineId, number, refunded_on: refundedOn, currency: site.currency, amount_minor: toAmount(amount).minor, reason, now });
      return readBack(tx, caller, id);
    },
    { constraints },
  );
}

/** Refuses a claim, for a reason that the site reads. */
export function refuseRefundClaim(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<RefundClaim>> {
  return ending(deps, caller, { id: command.id, action: 'refund-claim.refuse' }, ({ tx, now }) => updateRefused(tx, { ...command, now }));
}

/** Takes back a claim that was entered by mistake. */
export function withdrawRefundClaim(deps: Backoffice, caller: Caller, { id }: { readonly id: string }): Promise<Outcome<RefundClaim>> {
  return ending(deps, caller, { id, action: 'refund-claim.withdraw' }, ({ tx, now }) => updateWithdrawn(tx, { id, now }));
}

function ending(deps: Backoffice, caller: Caller, { id, action }: { readonly id: string; readonly action: Action }, end: (unit: Unit) => Promise<void>): Promise<Outcome<RefundClaim>> {
  return perform(deps, caller, action, async (unit) => {
    const { tx, refusal } = unit;
    await lockClaim(tx, id);
    const row = await selectClaim(tx, id);
    if (row === null) return refused('not-found');
    const refusedHere = refusal({ state: row.state, siteId: row.site_id });
    if (refusedHere !== null) return refusedHere;
    await end(unit);
    return readBack(tx, caller, id);
  });
}

export function listRefundClaims(deps: Backoffice, caller: Caller, query: RefundClaimListQuery): Promise<Outcome<Page<RefundClaim>>> {
  return perform<Page<RefundClaim>>(deps, caller, 'refund-claim.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectClaims(tx, { after, limit: query.limit + 1, siteId: query.siteId ?? null, state: query.state ?? null, siteIds: sitesFilter(visibleSites()) });
    return done(toPage({ rows, limit: query.limit, item: (row) => toClaim(row, caller), keyOf: (row) => [row.refunded_on, row.id] }));
  });
}

async function readBack(tx: TenantTransaction, caller: Caller, id: string): Promise<Outcome<RefundClaim>> {
  const row = await selectClaim(tx, id);
  if (row === null) throw new Error(`claim ${id} is gone`);
  return done(toClaim(row, caller));
}

function toClaim(row: RefundClaimRow, caller: Caller): RefundClaim {
  const money = (minor: bigint) => moneyOf(minor, row.currency);
  const mayRead = row.collection_state !== null && can(caller, 'collection.read', { siteId: row.site_id, state: row.collection_state });
  return {
    id: row.id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    number: row.number,
    refundedOn: row.refunded_on,
    amount: money(row.amount_minor),
    reason: row.reason,
    state: row.state,
    takenOver: row.collected_on === null || row.slip_minor === null ? null : { collectionId: mayRead ? row.collection_id : null, collectedOn: row.collected_on, amount: money(row.slip_minor) },
    alikePresentedOn: row.alike_on,
    maybeInSum: row.in_sum_on === null || row.in_sum_minor === null ? null : { collectedOn: row.in_sum_on, amount: money(row.in_sum_minor) },
    refused: row.refused_at === null ? null : { reason: row.refused_because ?? '', at: formatInstant(row.refused_at), by: row.refused_by ?? '' },
    withdrawnAt: row.withdrawn_at && formatInstant(row.withdrawn_at),
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}

export function toOpenClaim(row: OpenClaimRow): OpenRefundClaim {
  return { id: row.id, machineTag: row.machine_tag, number: row.number, refundedOn: row.refunded_on, amount: moneyOf(row.amount_minor, row.currency) };
}
