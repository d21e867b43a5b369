import { createHash } from 'node:crypto';
import { refused, type Outcome } from '#contracts/outcome';
import type { PaymentRun } from '#contracts/payment-run';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { BankAccount, IbanAccount, UsAccount } from '#domain/payment-file/bank-account';
import { clearingHouseFile } from '#domain/payment-file/clearing-house';
import { creditTransferFile } from '#domain/payment-file/pain-001';
import type { PaymentFile, PaymentFileProblemCode, Transfer } from '#domain/payment-file/types';
import { transliterate } from 'transliteration';
import { accountOpener } from '../bank-detail/sealed-account';
import type { Caller } from '../caller';
import { dataKeyInUse } from '../certificate/signer';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { groupBy } from '../settlement/inputs/group-by';
import { changeRun } from './change-run';
import { countFilesMade, selectRunItems, selectTransfers, updateFileMade, type PaymentRunRow } from './payment-run.sql';

/** What files are sealed for: a sealed value does not open for anything else. */
export const FILE_PURPOSE = 'payment file';

/** One letter or digit tells the files of a day apart. */
const MODIFIERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789';

const words: { readonly [code in PaymentFileProblemCode]: string } = {
  'no-transfers': 'it pays nothing',
  'amount-not-positive': 'an amount is not above zero',
  'amount-too-large': 'the amount is larger than a file may hold',
  'name-not-writable': 'nothing of the account holder’s name can be written in the characters that banks take',
  'other-currency': 'the clearing house pays dollars only',
  'originator-missing': 'the account that is paid from has no company number',
};

/** Writes the file for the bank and keeps it, sealed. What it pays, and the day on which the bank is to pay, are looked at again first. */
export function makePaymentFile(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<PaymentRun>> {
  return changeRun(deps, caller, { id, action: 'payment-run.make', from: ['draft'], checked: true }, async ({ tx, now }, row) => {
    const { time_zone: timeZone } = await presentOperator(tx);
    const on = localDay({ instant: now, timeZone });
    if (on === null) throw new Error('the clock is outside the calendar');
    if (row.execute_on < on) return refused('wrong-state', { detail: `The bank was to pay on ${row.execute_on}, and that day is past. Cancel this run and draft another one.` });
    const made = await writtenFile(deps, tx, { row, on, time: timeOf(now, timeZone) });
    if (!made.ok) return refused('wrong-state', { detail: `The file cannot be made: ${made.problems.map(({ code, index }) => `${index === null ? '' : `transfer ${String(index + 1)}: `}${words[code]}`).join('; ')}.` });
    const plaintext = Buffer.from(made.text, 'utf8');
    const dataKey = await dataKeyInUse(deps, tx);
    const sealedFile = deps.operatorSecrets.seal({ plaintext, tenantId: tx.tenantId, purpose: FILE_PURPOSE, dataKey });
    await updateFileMade(tx, { id: row.id, on, sealedFile, dataKeyId: dataKey.id, sha256: createHash('sha256').update(plaintext).digest(), entryHash: made.sums.entryHash, now });
    return null;
  });
}

async function writtenFile(deps: Backoffice, tx: TenantTransaction, made: { readonly row: PaymentRunRow; readonly on: LocalDate; readonly time: string }): Promise<PaymentFile> {
  const { row, on, time } = made;
  const open = await accountOpener(deps, tx);
  const inLatin = <Account extends BankAccount>(account: Account): Account => ({ ...account, holderName: transliterate(account.holderName) });
  const payer = inLatin(open(row.from_sealed));
  const items = groupBy(await selectRunItems(tx, row.id), (item) => item.transfer_id);
  const transfers = (await selectTransfers(tx, row.id)).map((transfer): Transfer<BankAccount> => ({
    id: bankReference(transfer.id),
    payee: inLatin(open(transfer.sealed_account)),
    amountMinor: transfer.amount_minor,
    remittance: (items.get(transfer.id) ?? []).map(({ number }) => number).join(' '),
  }));
  if (payer.kind === 'iban') {
    const order = { messageId: bankReference(row.id), createdAt: `${on}T${time}`, executeOn: row.execute_on, currency: row.currency, payer };
    return creditTransferFile({ ...order, transfers: transfers.map((transfer) => ({ ...transfer, payee: requireIban(transfer.payee) })) });
  }
  const fileIdModifier = MODIFIERS[await countFilesMade(tx, { on, kind: 'us' })];
  if (fileIdModifier === undefined) throw new Error(`more than ${String(MODIFIERS.length)} files on one day`);
  const order = { createdOn: on, createdAt: time.slice(0, 5).replace(':', ''), fileIdModifier, effectiveOn: row.execute_on, currency: row.currency, payer };
  return clearingHouseFile({ ...order, transfers: transfers.map((transfer) => ({ ...transfer, payee: requireUs(transfer.payee) })) });
}

/** 32 characters of the 35 that a reference may have. */
export function bankReference(id: string): string {
  return id.replaceAll('-', '');
}

function timeOf(instant: Date, timeZone: string): string {
  return new Intl.DateTimeFormat('en-GB', { timeZone, hourCycle: 'h23', hour: '2-digit', minute: '2-digit', second: '2-digit' }).format(instant);
}

/** A draft takes accounts of one kind only. */
function requireIban(account: BankAccount): IbanAccount {
  if (account.kind !== 'iban') throw new Error('an account without an IBAN in a file of IBANs');
  return account;
}

function requireUs(account: BankAccount): UsAccount {
  if (account.kind !== 'us') throw new Error('an account without a routing number in a file for the clearing house');
  return account;
}
