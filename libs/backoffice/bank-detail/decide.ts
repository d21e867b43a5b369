import type { BankDetail, BankDetailReason, ConfirmBankDetail } from '#contracts/bank-detail';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { BankAccount } from '#domain/payment-file/bank-account';
import { compactIban } from '#domain/payment-file/iban';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform, type Unit } from '../perform';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { insertBankDetailEvent, lockBankDetails, selectBankDetail, type BankDetailRow } from './bank-detail.sql';
import { accountOpener, numberOf } from './sealed-account';
import { askForPayeeMails } from './tell-payee.sql';
import { bankDetailAgain, readBankDetail } from './to-bank-detail';

type Command<Body> = { readonly id: string } & Body;

/**
 * The second person says that the account is the payee's, by typing its number anew from the document, with the routing number
 * where it has one: both together say where money goes. It takes the place of the one that was in force. In a business of one person the same person may, and the record is labelled.
 */
export function confirmBankDetail(deps: Backoffice, caller: Caller, command: Command<ConfirmBankDetail>): Promise<Outcome<BankDetail>> {
  return decide(deps, caller, { id: command.id, action: 'bank-detail.confirm' }, async ({ tx, now }, row, account) => {
    if (row.state !== 'proposed') return refused('wrong-state', { detail: `It is ${row.state}.` });
    const alone = await isCorrectedAlone(tx, { recordedBy: row.proposed_by, now, detail: 'You proposed this account yourself. Somebody else confirms it.' });
    if (!alone.ok) return alone;
    const wrong = wrongNumbers(account, command);
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    if (alone.value) await labelRelaxed(tx, { recordId: row.id, rule: 'second-person', kind: 'bank-detail', now });
    await recordDecision(tx, { bankDetailId: row.id, kind: 'confirmed', reason: null, now });
    return null;
  });
}

/** The proposal was wrong; it stays on record. Whoever proposed it may say so, too. */
export function rejectBankDetail(deps: Backoffice, caller: Caller, command: Command<BankDetailReason>): Promise<Outcome<BankDetail>> {
  return decide(deps, caller, { id: command.id, action: 'bank-detail.reject' }, async ({ tx, now }, row) => {
    if (row.state !== 'proposed') return refused('wrong-state', { detail: `It is ${row.state}.` });
    await recordDecision(tx, { bankDetailId: row.id, kind: 'rejected', reason: command.reason, now });
    return null;
  });
}

/** Nothing is paid there any more, from now on. Stopping takes one person: waiting for a second would send money to whoever should not have it. */
export function withdrawBankDetail(deps: Backoffice, caller: Caller, command: Command<BankDetailReason>): Promise<Outcome<BankDetail>> {
  return decide(deps, caller, { id: command.id, action: 'bank-detail.withdraw' }, async ({ tx, now }, row) => {
    if (row.state !== 'in-force') return refused('wrong-state', { detail: `It is ${row.state}.` });
    await recordDecision(tx, { bankDetailId: row.id, kind: 'withdrawn', reason: command.reason, now });
    return null;
  });
}

async function recordDecision(tx: TenantTransaction, event: { bankDetailId: string; kind: 'confirmed' | 'rejected' | 'withdrawn'; reason: string | null; now: Date }): Promise<void> {
  await insertBankDetailEvent(tx, event);
  await askForPayeeMails(tx, { bankDetailId: event.bankDetailId, about: event.kind, now: event.now });
}

function wrongNumbers(account: BankAccount, { number, routingNumber }: ConfirmBankDetail): WrongField[] {
  const differs = (field: keyof ConfirmBankDetail): WrongField => ({ path: [field], code: 'differs', message: 'It is not the number that was proposed. Compare both with the document; if the proposal is wrong, reject it.' });
  const typed = account.kind === 'iban' ? compactIban(number) : withoutBlanks(number);
  const wrong = typed === numberOf(account) ? [] : [differs('number')];
  if (account.kind === 'iban') {
    return routingNumber === undefined ? wrong : [...wrong, { path: ['routingNumber'], code: 'not-for-iban', message: 'An IBAN names its bank: there is no routing number.' }];
  }
  if (routingNumber === undefined) return [...wrong, { path: ['routingNumber'], code: 'missing', message: 'Type the routing number again as well, from the document.' }];
  return withoutBlanks(routingNumber) === account.routingNumber ? wrong : [...wrong, differs('routingNumber')];
}

function withoutBlanks(typed: string): string {
  return typed.replace(/\s/g, '');
}

function decide(
  deps: Backoffice,
  caller: Caller,
  asked: { readonly id: string; readonly action: Action },
  work: (unit: Unit, row: BankDetailRow, account: BankAccount) => Promise<Outcome<never> | null>,
): Promise<Outcome<BankDetail>> {
  return perform<BankDetail>(deps, caller, asked.action, async (unit) => {
    const { tx } = unit;
    const found = await selectBankDetail(tx, asked.id);
    if (found === null) return refused('not-found');
    await lockBankDetails(tx, found.party_id);
    const row = (await selectBankDetail(tx, asked.id)) ?? found;
    const refusedNow = await work(unit, row, (await accountOpener(deps, tx))(row.sealed_account));
    if (refusedNow !== null) return refusedNow;
    return done(await readBankDetail(deps, tx, asked.id));
  }, bankDetailAgain(deps));
}
