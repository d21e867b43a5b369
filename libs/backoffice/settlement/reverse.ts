import { createHash, randomBytes } from 'node:crypto';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { ReverseSettlement, Settlement } from '#contracts/settlement';
import type { TenantTransaction } from '#database/tenant';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { reversed } from '#domain/journal/entries';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockLog } from '../evidence/append';
import { shareJournal } from '../journal/period.sql';
import { postEntries, readPostedEntry } from '../journal/post';
import { lockAccount } from '../payment/account.sql';
import { lockRuns } from '../payment-run/payment-run.sql';
import { perform } from '../perform';
import { announce } from '../webhook/announce.sql';
import { settlementBody } from './body';
import { readSettlementRow, type SettlementDetailRow } from './read.sql';
import { insertReversal, lockPeriodsFrom, lockSettlement, readFirstFreeDay, readInTheWay } from './reverse.sql';
import { insertEvents } from './save.sql';
import { refusedWhileCounted } from './sealed';

/**
 * Takes back the latest issued settlement of an agreement. The journal gets the mirror image of its entry; what it took in
 * (changes after issue, payments on account, what the settlement before carried on) is free again, because whoever asks for
 * these passes over what a reversed settlement says. Number, statement and leaves stay. The period is settled anew with what
 * is known then. Refused while a later settlement rests on this one, or something of it is paid, about to be paid by
 * the bank, or written off; a reversal is final.
 * The reversal is booked on the day of what it takes back, so that the books hold one settlement of the period at a time.
 * A later draft rests on nothing yet: it is no longer fresh, and waits until this period is settled again.
 * Locks in the order of the whole house: payment runs (no file is made of it meanwhile), agreement, period, settlement, journal, evidence.
 */
export function reverseSettlement(deps: Backoffice, caller: Caller, command: { readonly id: string } & ReverseSettlement): Promise<Outcome<Settlement>> {
  return perform<Settlement>(deps, caller, 'settlement.reverse', async (unit) => {
    const { tx, now, refusal } = unit;
    const found = await readSettlementRow(tx, command.id);
    if (found === undefined) return refused('not-found');
    const denied = refusal({ siteId: found.site_id, state: found.state }) ?? (await refusedWhileCounted(unit, caller, found.site_id));
    if (denied !== null) return denied;
    await lockRuns(tx);
    const account = await lockAccount(tx, found.agreement_id);
    if (account === undefined) throw new Error('a settlement without its agreement');
    await lockPeriodsFrom(tx, { agreementId: found.agreement_id, startsOn: found.starts_on });
    await lockSettlement(tx, found.id);
    const row = (await readSettlementRow(tx, command.id)) ?? found;
    const refusedNow = await whyNot(tx, row);
    if (refusedNow !== null) return refusedNow;
    await takeBack(deps, tx, { row, reason: command.reason, now });
    const changed = await readSettlementRow(tx, command.id);
    if (changed === undefined) throw new Error('a settlement that was just reversed is not there');
    return done(await settlementBody(tx, changed, { ownSites: false, language: caller.language }));
  });
}

async function whyNot(tx: TenantTransaction, row: SettlementDetailRow): Promise<Outcome<never> | null> {
  // Commands and jobs are not bound by the table's states.
  if (row.state !== 'issued') return refused('wrong-state', { detail: `It is ${row.state}; only an issued settlement is reversed.` });
  if (row.reversed_at !== null) return refused('reversed-already', { detail: `It was reversed on ${formatInstant(row.reversed_at)}.` });
  const inTheWay = await readInTheWay(tx, { id: row.id, agreementId: row.agreement_id, startsOn: row.starts_on });
  if (inTheWay === undefined) throw new Error('a question about what is in the way got no answer');
  const { later_starts_on: startsOn, later_number: number } = inTheWay;
  if (startsOn !== null) return refused('later-settlement-stands', { detail: `The period from ${startsOn} has statement ${number ?? ''}.` });
  if (inTheWay.is_paid) return refused('settlement-paid', { detail: `Statement ${row.number ?? ''} is paid in part or whole.` });
  const { run_id: runId, run_execute_on: executeOn } = inTheWay;
  if (runId !== null && executeOn !== null) return refused('settlement-in-payment-run', { detail: `The payment run for ${executeOn} (${runId}) pays statement ${row.number ?? ''}.` });
  return inTheWay.is_written_off ? refused('settlement-paid', { detail: `Statement ${row.number ?? ''} is written off in part or whole.` }) : null;
}

async function takeBack(
  deps: Backoffice,
  tx: TenantTransaction,
  taken: { row: SettlementDetailRow; reason: string; now: Date },
): Promise<void> {
  const { row, reason, now } = taken;
  const id = deps.newId();
  const accountingDate = await bookedOn(tx, row);
  await insertReversal(tx, { id, settlementId: row.id, accountingDate, reason, now });
  const entry = await readPostedEntry(tx, { kind: 'settlement-issued', sourceId: row.id });
  // Nothing was posted where nothing moved.
  if (entry !== undefined) {
    const head = { id: deps.newId(), date: accountingDate, currency: entry.currency, sourceId: id };
    await postEntries(tx, { entries: [reversed(head, entry)], recordedAt: now });
  }
  await insertEvents(tx, { ids: [deps.newId()], settlementIds: [row.id], kind: 'reversed', note: reason, at: now, by: tx.actor });
  await announce(tx, { type: 'settlement.reversed', told: [{ subjectId: row.id, causeId: id }], now });
  const log = await lockLog(tx, { now: () => now, randomBytes });
  await log.append([
    {
      subjectId: row.id,
      entry: {
        format: 1,
        kind: 'settlement-reversed',
        reversalId: id,
        settlementId: row.id,
        statementNumber: row.number ?? '',
        accountingDate,
        reasonDigest: createHash('sha256').update(reason, 'utf8').digest('hex'),
        reversedBy: tx.actor,
        recordedAt: formatInstant(now),
      },
    },
  ]);
}

/**
 * The day under which the books had the settlement, so that they say at no day that two of a period stand, once it is settled
 * anew on the same day. A month that is closed keeps its figures: then the first day that is open, and the new one with it.
 */
async function bookedOn(tx: TenantTransaction, row: SettlementDetailRow): Promise<LocalDate> {
  const free = await readFirstFreeDay(tx, { id: row.id, agreementId: row.agreement_id, startsOn: row.starts_on });
  const closedThrough = await shareJournal(tx);
  return closedThrough === null || free > closedThrough ? free : addDays(closedThrough, 1);
}
