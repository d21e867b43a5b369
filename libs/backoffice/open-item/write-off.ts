import type { OpenItem, UndoWriteOff, WriteOffOpenItem } from '#contracts/open-item';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { reversed, writtenOff } from '#domain/journal/entries';
import type { JournalEntry } from '#domain/journal/types';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { refusedWhenClosed } from '../journal/period';
import { postEntries } from '../journal/post';
import { lockAccount } from '../payment/account.sql';
import { perform, type Unit } from '../perform';
import { onlyRow } from '../rows';
import { readOpenItem, type OpenItemRow } from './open-item.sql';
import { openItemBodies, openMinorOf } from './to-open-item';
import { insertWriteOff, insertWriteOffUndo, readWriteOffs } from './write-off.sql';

type Command<Body> = { readonly id: string } & Body;
type Booking = { readonly row: OpenItemRow; readonly today: LocalDate };

/** Gives up what is open of an item, whoever owes it. The item is settled by that; the loss or gain has an account of its own. */
export function writeOffItem(deps: Backoffice, caller: Caller, command: Command<WriteOffOpenItem>): Promise<Outcome<OpenItem>> {
  return changeItem(deps, caller, command.id, async ({ tx, now }, { row, today }) => {
    const amountMinor = openMinorOf(row);
    if (amountMinor === 0n) return refused('wrong-state', { detail: 'Nothing of it is open: there is nothing to write off.' });
    const accountingDate = command.accountingDate as LocalDate | undefined ?? today;
    const wrong = await refusedDay(tx, { accountingDate, earliest: row.dated_on, today });
    if (wrong !== null) return wrong;
    const id = deps.newId();
    await insertWriteOff(tx, { id, openItemId: row.id, agreementId: row.agreement_id, partyId: row.party_id, currency: row.currency, amountMinor, accountingDate, reason: command.reason, now });
    await postEntries(tx, { entries: [entryOf(deps, row, { id, amountMinor, accountingDate })], recordedAt: now });
    return null;
  });
}

/** Takes a write-off back by its mirror image: what was given up is open again, with its old date. */
export function undoWriteOff(deps: Backoffice, caller: Caller, command: Command<UndoWriteOff>): Promise<Outcome<OpenItem>> {
  return changeItem(deps, caller, command.id, async ({ tx, now }, { row, today }) => {
    const standing = (await readWriteOffs(tx, [row.id])).find((each) => each.undone_at === null);
    if (standing === undefined) return refused('wrong-state', { detail: 'It is not written off.' });
    const accountingDate = command.accountingDate as LocalDate | undefined ?? today;
    const wrong = await refusedDay(tx, { accountingDate, earliest: standing.accounting_date, today });
    if (wrong !== null) return wrong;
    const id = deps.newId();
    await insertWriteOffUndo(tx, { id, writeOffId: standing.id, accountingDate, reason: command.reason, now });
    const original = entryOf(deps, row, { id: standing.id, amountMinor: standing.amount_minor, accountingDate: standing.accounting_date });
    await postEntries(tx, { entries: [reversed({ id: deps.newId(), date: accountingDate, currency: row.currency, sourceId: id }, original)], recordedAt: now });
    return null;
  });
}

/** What the operator owes is above zero here and below zero there: it gives up a debt by no longer paying it. */
function entryOf(deps: Pick<Backoffice, 'newId'>, row: OpenItemRow, written: { id: string; amountMinor: bigint; accountingDate: LocalDate }): JournalEntry {
  const head = { id: deps.newId(), date: written.accountingDate, currency: row.currency, sourceId: written.id };
  return writtenOff(head, { account: 'payable-to-payee', party: row.party_id, amountMinor: -written.amountMinor });
}

async function refusedDay(tx: TenantTransaction, day: { accountingDate: LocalDate; earliest: LocalDate; today: LocalDate }): Promise<Outcome<never> | null> {
  const { accountingDate, earliest, today } = day;
  if (accountingDate < earliest || accountingDate > today) {
    return refusedFields('invalid-command', [{ path: ['accountingDate'], code: 'outside', message: `It is booked to a day from ${earliest} to ${today}.` }]);
  }
  return refusedWhenClosed(tx, { day: accountingDate, path: ['accountingDate'] });
}

/** Locks the account, then looks at the item: whoever came before has finished. */
function changeItem(deps: Backoffice, caller: Caller, id: string, work: (unit: Unit, booking: Booking) => Promise<Outcome<never> | null>): Promise<Outcome<OpenItem>> {
  return perform<OpenItem>(deps, caller, 'open-item.write-off', async (unit) => {
    const { tx, now, refusal } = unit;
    const found = await readOpenItem(tx, id);
    if (found === undefined) return refused('not-found');
    const denied = refusal({ siteId: found.site_id });
    if (denied !== null) return denied;
    const account = await lockAccount(tx, found.agreement_id);
    const today = account === undefined ? null : localDay({ instant: now, timeZone: account.time_zone });
    if (today === null) throw new Error('an item without its account, or a clock outside the calendar');
    const row = (await readOpenItem(tx, id)) ?? found;
    const refusedNow = await work(unit, { row, today });
    if (refusedNow !== null) return refusedNow;
    const changed = (await readOpenItem(tx, id)) ?? row;
    return done(onlyRow(await openItemBodies(tx, [changed], { ownSites: false })));
  });
}
