import type { BoxCount, Collection, CollectionSummary } from '#contracts/collection';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { selectExposed } from '../key-case/exposed.sql';
import type { Caller } from '../caller';
import { isBlind, isSealed } from './blind';
import { showContents } from './box-contents';
import { selectCashOutOf } from './cash-place.sql';
import { selectWithdrawn } from './discard.sql';
import { selectMeteredApart } from './metered.sql';
import { showTally } from './tally';
import { selectUnread } from '../meter/not-read.sql';
import { askedAmounts, unmeteredBoxes } from './unmetered';
import { selectCollection, selectCounts, selectHanded, selectSlips, type CollectionRow, type CorrectedRow, type CountRow } from './collection.sql';

/** A stored collection as lists show it. */
export function toSummary(row: CollectionRow): CollectionSummary {
  const money = (minor: bigint) => moneyOf(minor, row.currency);
  return {
    id: row.id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    timeZone: row.time_zone,
    happenedAt: formatInstant(row.happened_at),
    localDate: row.local_date,
    accountingDate: row.accounting_date,
    state: row.state,
    counted: money(row.counted_minor),
    countedMachines: row.counted_machines,
    refunds: money(row.refunds_minor),
    handed: money(row.handed_minor),
    importFileId: row.import_file_id,
    revision: row.revision,
  };
}

/** A collection with everything that was entered for it. Nothing that was expected or counted before is read here. */
export async function showCollection(tx: TenantTransaction, row: CollectionRow): Promise<Collection> {
  const money = (minor: bigint) => moneyOf(minor, row.currency);
  const counts = await selectCounts(tx, row.id);
  const slips = await selectSlips(tx, row.id);
  const handed = await selectHanded(tx, row.id);
  const apart = await selectMeteredApart(tx, [row.id]);
  const asked = row.state === 'counted' || row.state === 'accepted' ? await askedAmounts(tx, await unmeteredBoxes(tx, [row.id], { accepted: row.state === 'accepted' })) : [];
  const unreadMeters = await selectUnread(tx, { collectionId: row.id });
  const exposed = await selectExposed(tx, { collectionId: row.id });
  const cashOutOf = await selectCashOutOf(tx, row.id);
  return {
    ...toSummary(row),
    accountingReason: row.accounting_reason,
    collectedBy: row.collected_by,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    acceptedAt: row.accepted_at && formatInstant(row.accepted_at),
    acceptedBy: row.accepted_by,
    bagged: row.bagged,
    discarded: await toDiscarded(tx, row),
    counts: counts.map((count) => toCount(count, row)),
    meteredAmounts: apart.map((each) => ({ machineId: each.machine_id, machineTag: each.machine_tag, amount: money(each.metered_minor), reason: each.reason, recordedAt: formatInstant(each.recorded_at), recordedBy: each.recorded_by })),
    meteredMissing: asked.map(({ machineTag }) => machineTag),
    meteredAsked: asked,
    unreadMeters,
    refundSlips: slips.map((slip) => ({
      id: slip.id,
      machineId: slip.machine_id,
      machineTag: slip.machine_tag,
      refundedOn: slip.refunded_on,
      amount: money(slip.amount_minor),
      paidBy: slip.paid_by,
      coin: slip.coin_minor === null ? null : money(slip.coin_minor),
      claims: slip.claims,
      alike: slip.alike,
      ...toCorrected(slip),
    })),
    cashOutOf: cashOutOf.map(({ machine_tag: machineTag, receipts, fillings }) => ({ machineTag, receipts: receipts ? 'collector' : 'counting-room', fillings: fillings ? 'collector' : 'counting-room' })),
    blind: await isBlind(tx, row.id, counts.filter((count) => count.replaces_id === null)),
    exposedByCaseIds: [...new Set(exposed.map((each) => each.key_case_id))],
    cashHanded: handed.map((each) => ({
      id: each.id,
      partyId: each.party_id,
      amount: money(each.amount_minor),
      machineTag: each.machine_tag,
      coin: each.coin_minor === null ? null : money(each.coin_minor),
      acknowledgedBy: each.acknowledged_by,
      ...toCorrected(each),
    })),
  };
}

/** The same for those who are not shown what meters imply. */
export function withoutMetered(collection: Collection): Collection {
  return { ...collection, meteredAmounts: null, meteredAsked: collection.meteredAsked.map((asked) => ({ ...asked, since: null })), counts: collection.counts.map((count) => ({ ...count, meteredAmount: null })) };
}

async function toDiscarded(tx: TenantTransaction, row: CollectionRow): Promise<Collection['discarded']> {
  const { discarded_at: at, discarded_by: by, discarded_because: reason } = row;
  const withdrawn = at === null || by === null || reason === null ? null : await selectWithdrawn(tx, row.id);
  if (withdrawn === null || at === null || by === null || reason === null) return null;
  const { counts, field_counts: fieldCounts, readings, reading_tries: readingTries, refund_slips: refundSlips, cash_handed: cashHanded, bags, made_alone: withoutSecondPerson } = withdrawn;
  return { at: formatInstant(at), by, reason, withoutSecondPerson, withdrawn: { counts, fieldCounts, readings, readingTries, refundSlips, cashHanded, bags } };
}

/** The collection as it is after a change within this transaction. */
export async function readBack(tx: TenantTransaction, id: string): Promise<Outcome<Collection>> {
  const row = await selectCollection(tx, id);
  if (row === null) throw new Error(`collection ${id} is gone`);
  return done(await showCollection(tx, row));
}

/** Whether a collection shows what meters imply of a box, or showed before. */
export function tellsOfMeters(row: CollectionRow, { meteredAmounts, meteredAsked, counts }: Collection): boolean {
  return meteredAsked.some(({ since }) => since !== null) || (meteredAmounts ?? []).length > 0 || (row.state !== 'open' && counts.some(({ meteredAmount }) => meteredAmount !== null));
}

/** The same for whoever changed something of it that others had a part in: an answer to that tells no more than a look at it. */
export async function readBackFor(asking: { readonly tx: TenantTransaction; readonly now: Date }, caller: Caller, id: string): Promise<Outcome<Collection>> {
  const row = await selectCollection(asking.tx, id);
  if (row === null) throw new Error(`collection ${id} is gone`);
  const collection = await showCollection(asking.tx, row);
  const isKept = tellsOfMeters(row, collection) && (await isSealed(asking, caller, row.site_id));
  return done(isKept ? withoutMetered(collection) : collection);
}

function toCount(row: CountRow, { currency, collected_by: collectedBy }: CollectionRow): BoxCount {
  return {
    id: row.id,
    placementId: row.placement_id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    part: row.part,
    removal: row.removal,
    coin: moneyOf(row.coin_minor, currency),
    note: moneyOf(row.note_minor, currency),
    tally: showTally(row.tally, currency),
    ...showContents(row, currency),
    cashWith: row.at_machine && collectedBy !== null ? 'collector' : 'counting-room',
    late: row.late,
    ...toCorrected(row),
  };
}

function toCorrected(row: CorrectedRow) {
  return {
    replacesId: row.replaces_id,
    replacedById: row.replaced_by_id,
    reason: row.reason,
    withoutSecondPerson: row.made_alone,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
