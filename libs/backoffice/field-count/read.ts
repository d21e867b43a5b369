import type { FieldCount, FieldCounts } from '#contracts/field-count';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import { knewBefore } from '../collection/blind';
import { selectCollection, type CollectionRow } from '../collection/collection.sql';
import { showTally } from '../collection/tally';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { selectFieldCounts, type FieldCountRow } from './field-count.sql';

/** Counts at the machine beside the room's, once these are accepted: before, they would tell the room what to find. */
export async function readFieldCounts(deps: Backoffice, caller: Caller, query: { readonly collectionId: string }): Promise<Outcome<FieldCounts>> {
  return perform<FieldCounts>(deps, caller, 'field-count.read', async ({ tx, refusal }) => {
    const row = await selectCollection(tx, query.collectionId);
    if (row === null) return refused('not-found');
    const refusedHere = refusal({ state: row.state, siteId: row.site_id });
    if (refusedHere !== null) return refusedHere;
    return done(await showFieldCounts(tx, row));
  });
}

/** Every count at the machines with its corrections, and box by box what stands beside what the room found. */
export async function showFieldCounts(tx: TenantTransaction, row: CollectionRow): Promise<FieldCounts> {
  const rows = await selectFieldCounts(tx, row.id);
  // Whoever types a count may write another name above it, so both are asked about. A correction is as blind as what it corrects.
  const knew = await knewBefore(tx, row.id, rows);
  const blind = new Map(rows.map((count, place) => [count.id, count.blind && knew[place] === false]));
  const isBlind = (count: FieldCountRow): boolean => {
    const first = rows.find(({ id }) => id === count.replaces_id);
    return first === undefined ? blind.get(count.id) === true : isBlind(first);
  };
  return { items: rows.map((count) => toFieldCount({ ...count, blind: isBlind(count) }, row.currency)), boxes: boxesOf(rows.filter((count) => count.replaced_by_id === null), row.currency) };
}

/** The parts of a box need not be the same in both counts, so it is compared whole. */
function boxesOf(rows: readonly FieldCountRow[], currency: CurrencyCode): FieldCounts['boxes'] {
  return [...groupBy(rows, (row) => row.placement_id)].map(([placementId, parts]) => {
    const sum = (minor: (row: FieldCountRow) => bigint): bigint => parts.reduce((total, row) => total + minor(row), 0n);
    const { room_coin_minor: roomCoinMinor = null, room_note_minor: roomNoteMinor = null, machine_tag: machineTag = '' } = parts[0] ?? {};
    const isCounted = roomCoinMinor !== null && roomNoteMinor !== null;
    return {
      placementId,
      machineTag,
      roomLess: isCounted ? { coin: moneyOf(sum((row) => row.coin_minor) - roomCoinMinor, currency), note: moneyOf(sum((row) => row.note_minor) - roomNoteMinor, currency) } : null,
    };
  });
}

function toFieldCount(row: FieldCountRow, currency: CurrencyCode): FieldCount {
  return {
    id: row.id,
    placementId: row.placement_id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    part: row.part,
    coin: moneyOf(row.coin_minor, currency),
    note: moneyOf(row.note_minor, currency),
    tally: showTally(row.tally, currency),
    countedBy: row.counted_by,
    blind: row.blind,
    replacesId: row.replaces_id,
    replacedById: row.replaced_by_id,
    reason: row.reason,
    withoutSecondPerson: row.made_alone,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
