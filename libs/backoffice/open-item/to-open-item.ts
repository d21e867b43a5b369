import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { OpenItem, OpenItemState } from '#contracts/open-item';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../settlement/inputs/group-by';
import { readItemEvents, type ItemEventRow, type OpenItemRow } from './open-item.sql';

/** What is not paid yet, of the sign of the amount. Nothing is owed by a settlement that was reversed. */
export function openMinorOf(row: Pick<OpenItemRow, 'amount_minor' | 'paid_minor' | 'reversed'>): bigint {
  return row.reversed ? 0n : row.amount_minor - row.paid_minor;
}

/** A dispute is said before anything else that is unpaid; a paid item has none any more. */
export function stateOf(row: OpenItemRow): OpenItemState {
  if (row.reversed) return 'reversed';
  if (row.paid_minor === row.amount_minor) return row.came_back ? 'paid-again' : 'paid';
  if (row.held) return 'disputed';
  if (row.paid_minor !== 0n) return 'partly-paid';
  return row.came_back ? 'returned' : 'open';
}

/** Items as the API shows them. Notes and names of staff stay in the office. */
export async function openItemBodies(tx: TenantTransaction, rows: readonly OpenItemRow[], reader: { ownSites: boolean }): Promise<OpenItem[]> {
  const events = groupBy(await readItemEvents(tx, rows.map((row) => row.id)), (event) => event.open_item_id);
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
    open: moneyOf(openMinorOf(row), row.currency),
    state: stateOf(row),
    history: (events.get(row.id) ?? []).map((event) => eventBody(event, reader)),
  }));
}

function eventBody(event: ItemEventRow, reader: { ownSites: boolean }): OpenItem['history'][number] {
  return {
    kind: event.kind,
    note: reader.ownSites ? null : event.note,
    happenedAt: formatInstant(event.happened_at),
    happenedBy: reader.ownSites ? 'operator' : event.happened_by,
  };
}
