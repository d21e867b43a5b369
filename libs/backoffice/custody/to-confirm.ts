import type { CustodyToConfirm } from '#contracts/custody-acknowledgement';
import { formatInstant } from '#contracts/format';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { holderOf } from '../key-question/attention';
import { perform } from '../perform';
import { selectToConfirm, type ToConfirmRow } from './to-confirm.sql';
import { withoutOtherSites } from './without-other-sites';

type Item = CustodyToConfirm['items'][number];

/** What whoever asks still has to confirm: keys that they gave or received, or that went into or out of what they answer for. */
export async function readToConfirm(deps: Backoffice, caller: Caller): Promise<Outcome<CustodyToConfirm>> {
  return perform(deps, caller, 'own-keys.read', async ({ tx, now, visibleSites }) => {
    const sites = visibleSites();
    const personId = caller.kind === 'user' ? caller.personId : null;
    const rows = personId === null ? [] : await selectToConfirm(tx, personId);
    return done({ items: rows.map((row) => withoutOtherSites(toItem(row, now), sites)) });
  });
}

function toItem(row: ToConfirmRow, now: Date): Item {
  return {
    eventId: row.event_id,
    side: row.own_side,
    says: row.says,
    happenedAt: formatInstant(row.happened_at),
    acknowledgeBy: formatInstant(row.acknowledge_by),
    late: row.acknowledge_by <= now,
    deniedAt: row.denied_at && formatInstant(row.denied_at),
    deniedHow: row.denied_how,
    dueBackAt: row.due_back_at && formatInstant(row.due_back_at),
    from: holderOf(row.from_kind, [row.from_id, row.from_code, row.from_name, row.from_site_id, row.from_site_code]),
    to: holderOf(row.to_kind, [row.to_id, row.to_code, row.to_name, row.to_site_id, row.to_site_code]),
    copies: row.copies,
  };
}
