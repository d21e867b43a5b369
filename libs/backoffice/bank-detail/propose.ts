import type { BankDetail, ProposeBankDetail } from '#contracts/bank-detail';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { maskedAccount } from '#domain/payment-file/bank-account';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectParty } from '../party/party.sql';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertBankDetail } from './bank-detail.sql';
import { normalized, sealAccount } from './sealed-account';
import { askForPayeeMails } from './tell-payee.sql';
import { bankDetailAgain, readBankDetail } from './to-bank-detail';

/** Takes down where a payee wants to be paid, or where the operator pays from. Nothing goes there before somebody else confirmed it. */
export function proposeBankDetail(deps: Backoffice, caller: Caller, command: ProposeBankDetail): Promise<Outcome<BankDetail>> {
  return perform<BankDetail>(
    deps,
    caller,
    'bank-detail.propose',
    async ({ tx, now }) => {
      const wrong = await wrongProposal(tx, command);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const account = normalized(command.account);
      const id = command.id ?? deps.newId();
      await insertBankDetail(tx, { id, partyId: command.partyId, kind: account.kind, ...(await sealAccount(deps, tx, account)), ...maskedAccount(account), reason: command.reason, now });
      await askForPayeeMails(tx, { bankDetailId: id, about: 'proposed', now });
      return done(await readBankDetail(deps, tx, id));
    },
    { constraints: { bank_detail_pkey: taken(['id'], 'an account with this id') }, ...bankDetailAgain(deps) },
  );
}

async function wrongProposal(tx: TenantTransaction, { partyId, account }: ProposeBankDetail): Promise<WrongField[]> {
  if (partyId !== null && (await selectParty(tx, partyId)) === null) return [{ path: ['partyId'], code: 'unknown', message: 'There is no party with this id.' }];
  if (account.kind !== 'us') return [];
  if (partyId === null && account.originator === null) return [{ path: ['account', 'originator'], code: 'missing', message: 'Your bank takes a file only with the company number that it gave you.' }];
  if (partyId !== null && account.originator !== null) return [{ path: ['account', 'originator'], code: 'not-for-payees', message: 'Only the account that is paid from has one.' }];
  return [];
}
