import type { HoldOpenItem, OpenItem } from '#contracts/open-item';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockAccount } from '../payment/account.sql';
import { perform } from '../perform';
import { onlyRow } from '../rows';
import { insertItemEvent, readItemEvents, readOpenItem } from './open-item.sql';
import { openItemBodies, openMinorOf } from './to-open-item';

type Command = { readonly id: string } & HoldOpenItem;

/** Marks an item as disputed: it keeps its date and ages on, and no payment settles it until it is released. */
export function holdOpenItem(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<OpenItem>> {
  return changeHold(deps, caller, command, 'held');
}

/** The dispute is over: the item may be paid again. */
export function releaseOpenItem(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<OpenItem>> {
  return changeHold(deps, caller, command, 'released');
}

function changeHold(deps: Backoffice, caller: Caller, command: Command, kind: 'held' | 'released'): Promise<Outcome<OpenItem>> {
  return perform<OpenItem>(deps, caller, 'open-item.hold', async ({ tx, now, refusal }) => {
    const found = await readOpenItem(tx, command.id);
    if (found === undefined) return refused('not-found');
    const denied = refusal({ siteId: found.site_id });
    if (denied !== null) return denied;
    await lockAccount(tx, found.agreement_id);
    const row = (await readOpenItem(tx, command.id)) ?? found;
    if (row.held === (kind === 'held')) return refused('wrong-state', { detail: row.held ? 'It is held as disputed already.' : 'It is not held as disputed.' });
    if (kind === 'held' && openMinorOf(row) === 0n) return refused('wrong-state', { detail: 'Nothing of it is open: there is nothing to hold.' });
    const events = await readItemEvents(tx, [row.id]);
    await insertItemEvent(tx, { itemId: row.id, position: events.length + 1, kind, note: command.note, now });
    const changed = (await readOpenItem(tx, row.id)) ?? row;
    return done(onlyRow(await openItemBodies(tx, [changed], { ownSites: false })));
  });
}
