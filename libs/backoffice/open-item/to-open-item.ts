import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { OpenItem, OpenItemState } from '#contracts/open-item';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../settlement/inputs/group-by';
import { readItemEvents, type ItemEventRow, type OpenItemRow } from './open-item.sql';
import { readWriteOffs, type WriteOffRow } from './write-off.sql';

/** What is neither paid nor written off, of the sign of the amount. Nothing is owed by a settlement that was reversed. */
export function openMinorOf(row: Pick<OpenItemRow, 'amount_minor' | 'paid_minor' | 'written_off_minor' | 'reversed'>): bigint {
  return row.reversed ? 0n : row.amount_minor - row.paid_minor - row.written_off_minor;
}

/** A dispute is said before anything else that is unpaid; a paid item has none any more. */
export function stateOf(row: OpenItemRow): OpenItemState {
  if (row.reversed) return 'reversed';
  if (row.written_off_minor !== 0n && openMinorOf(row) === 0n) return 'written-off';
  if (row.paid_minor === row.amount_minor) return row.came_back ? 'paid-again' : 'paid';
  if (row.held) return 'disputed';
  if (row.paid_minor !== 0n) return 'partly-paid';
  return row.came_back ? 'returned' : 'open';
}

/** Items as the API shows them. Notes and names of staff stay in the office. */
export async function openItemBodies(tx: TenantTransaction, rows: readonly OpenItemRow[], reader: { ownSites: boolean }): Promise<OpenItem[]> {
  const ids = rows.map((row) => row.id);
  const events = groupBy([...(await readItemEvents(tx, ids)), ...eventsOf(await readWriteOffs(tx, ids))], (event) => event.open_item_id);
  return rows.map((row) => ({
    id: row.id,
    settlementId: row.settlement_id,
    number: row.number,
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    partyId: row.party_id,
    partyName: row.party_name,
    startsOn: row.starts_on,
    datedOn: row.dated_on,
    amount: moneyOf(row.amount_minor, row.currency),
    paid: moneyOf(row.paid_minor, row.currency),
    writtenOff: moneyOf(row.written_off_minor, row.currency),
    open: moneyOf(openMinorOf(row), row.currency),
    state: stateOf(row),
    history: (events.get(row.id) ?? []).sort((left, right) => left.happened_at.getTime() - right.happened_at.getTime()).map((event) => eventBody(event, reader)),
  }));
}

type HistoryRow = Pick<ItemEventRow, 'open_item_id' | 'note' | 'happened_at' | 'happened_by'> & { readonly kind: OpenItem['history'][number]['kind'] };

function eventsOf(writeOffs: readonly WriteOffRow[]): HistoryRow[] {
  return writeOffs.flatMap((row): HistoryRow[] => {
    const written: HistoryRow = { open_item_id: row.open_item_id, kind: 'written-off', note: row.reason, happened_at: row.recorded_at, happened_by: row.recorded_by };
    if (row.undone_at === null) return [written];
    return [written, { open_item_id: row.open_item_id, kind: 'write-off-undone', note: row.undo_reason ?? '', happened_at: row.undone_at, happened_by: row.undone_by ?? '' }];
  });
}

function eventBody(event: HistoryRow, reader: { ownSites: boolean }): OpenItem['history'][number] {
  return {
    kind: event.kind,
    note: reader.ownSites ? null : event.note,
    happenedAt: formatInstant(event.happened_at),
    happenedBy: reader.ownSites ? 'operator' : event.happened_by,
  };
}
