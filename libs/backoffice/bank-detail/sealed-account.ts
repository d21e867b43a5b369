import type { TenantTransaction } from '#database/tenant';
import { bankAccountSchema } from '#contracts/bank-detail';
import { compactIban } from '#domain/payment-file/iban';
import type { BankAccount } from '#domain/payment-file/bank-account';
import { dataKeyInUse } from '../certificate/signer';
import { readDataKeys } from '../certificate/signing.sql';
import type { Backoffice } from '../dependencies';

/** What accounts are sealed for: a sealed value does not open for anything else. */
const PURPOSE = 'bank account';

/** Seals an account under the operator's data key, which is made when there is none yet. */
export async function sealAccount(deps: Backoffice, tx: TenantTransaction, account: BankAccount): Promise<{ readonly sealedAccount: Buffer; readonly dataKeyId: string }> {
  const dataKey = await dataKeyInUse(deps, tx);
  const plaintext = Buffer.from(JSON.stringify(account), 'utf8');
  return { sealedAccount: deps.operatorSecrets.seal({ plaintext, tenantId: tx.tenantId, purpose: PURPOSE, dataKey }), dataKeyId: dataKey.id };
}

/** Opens accounts by one reading of the keys. */
export async function accountOpener(deps: Pick<Backoffice, 'operatorSecrets'>, tx: TenantTransaction): Promise<(sealed: Buffer) => BankAccount> {
  const dataKeys = await readDataKeys(tx);
  return (sealed) => bankAccountSchema.parse(JSON.parse(deps.operatorSecrets.open({ tenantId: tx.tenantId, purpose: PURPOSE, sealed, dataKeys }).toString('utf8')));
}

/** As it goes into files, whatever way it was typed. */
export function normalized(account: BankAccount): BankAccount {
  return account.kind === 'iban' ? { ...account, iban: compactIban(account.iban) } : account;
}

export function numberOf(account: BankAccount): string {
  return account.kind === 'iban' ? account.iban : account.accountNumber;
}
