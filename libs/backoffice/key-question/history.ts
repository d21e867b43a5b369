import { formatInstant } from '#contracts/format';
import type { CopyHistory, CopyHistoryQuery } from '#contracts/key-question';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectCopy, selectCopyStays, type StayRow } from './history.sql';
import { csvTable } from '../csv';
import { toWhereabouts } from './whereabouts.sql';

type Asked = CopyHistoryQuery & { readonly id: string };

/** Where a copy was from the moment it was made, as the books know it or knew it. */
export async function readCopyHistory(deps: Backoffice, caller: Caller, query: Asked): Promise<Outcome<CopyHistory>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    const history = await historyOf(tx, { id: query.id, knownAt: query.knownAt === undefined ? now : new Date(query.knownAt) });
    return history === null ? refused('not-found') : done(history);
  });
}

const columns = ['copy', 'code', 'class', 'state', 'holder_kind', 'holder', 'holder_name', 'holder_site', 'from', 'to', 'what_happened', 'reason', 'recorded_at', 'recorded_by', 'due_back'] as const;

export async function exportCopyHistory(deps: Backoffice, caller: Caller, query: Asked): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'key-reach.read', async ({ tx, now }) => {
    const history = await historyOf(tx, { id: query.id, knownAt: query.knownAt === undefined ? now : new Date(query.knownAt) });
    if (history === null) return refused('not-found');
    const lines = history.stays.map((stay) => ({
      copy: history.number,
      code: history.code,
      class: history.class,
      state: stay.state,
      holder_kind: stay.holder?.kind,
      holder: stay.holder?.code,
      holder_name: stay.holder?.name,
      holder_site: stay.holder?.siteCode,
      from: stay.from,
      to: stay.to,
      what_happened: stay.says,
      reason: stay.reason,
      recorded_at: stay.recordedAt,
      recorded_by: stay.recordedBy,
      due_back: stay.dueBackAt,
    }));
    return done({ bytes: Buffer.from(csvTable({ columns }, lines)), fileName: `key-${history.number.toLowerCase()}.csv` });
  });
}

async function historyOf(tx: TenantTransaction, query: { id: string; knownAt: Date }): Promise<CopyHistory | null> {
  const copy = await selectCopy(tx, query.id);
  if (copy === null) return null;
  const rows = await selectCopyStays(tx, query);
  return { ...copy, knownAt: formatInstant(query.knownAt), stays: rows.map(toStay) };
}

function toStay(row: StayRow): CopyHistory['stays'][number] {
  const { state, holder, since, dueBackAt } = toWhereabouts(row);
  return {
    state,
    holder,
    from: since,
    to: row.held_to && formatInstant(row.held_to),
    eventId: row.event_id,
    says: row.says,
    reason: row.reason,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    dueBackAt,
  };
}
