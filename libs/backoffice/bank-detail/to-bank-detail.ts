import type { BankDetail } from '#contracts/bank-detail';
import { formatInstant } from '#contracts/format';
import type { BankAccount } from '#domain/payment-file/bank-account';
import type { TenantTransaction } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import type { PerformOptions } from '../perform';
import { onlyRow } from '../rows';
import { selectBankDetail, type BankDetailRow } from './bank-detail.sql';
import { accountOpener } from './sealed-account';

/** Holder and bank are sealed: of the answer to a request that may be repeated only the id is kept. */
export function bankDetailAgain(deps: Pick<Backoffice, 'operatorSecrets'>): Required<Pick<PerformOptions<BankDetail>, 'readAgain'>> {
  return { readAgain: { idOf: ({ id }) => id, read: (tx, id) => readBankDetail(deps, tx, id) } };
}

/** The account with this id, which there is, masked. */
export async function readBankDetail(deps: Pick<Backoffice, 'operatorSecrets'>, tx: TenantTransaction, id: string): Promise<BankDetail> {
  const row = await selectBankDetail(tx, id);
  return toBankDetail(onlyRow(row === null ? [] : [row]), await accountOpener(deps, tx));
}

/** A stored account as the API shows it: masked. */
export function toBankDetail(row: BankDetailRow, open: (sealed: Buffer) => BankAccount): BankDetail {
  const account = open(row.sealed_account);
  const instant = (at: Date | null): string | null => (at === null ? null : formatInstant(at));
  return {
    id: row.id,
    partyId: row.party_id,
    partyName: row.party_name,
    kind: row.kind,
    holderName: account.holderName,
    country: row.country,
    ending: row.ending,
    bank: account.kind === 'iban' ? account.bic : account.routingNumber,
    accountType: account.kind === 'us' ? account.accountType : null,
    state: row.state,
    reason: row.reason,
    proposedAt: formatInstant(row.proposed_at),
    proposedBy: row.proposed_by,
    decidedAt: instant(row.decided_at),
    decidedBy: row.decided_by,
    withdrawnAt: instant(row.withdrawn_at),
    withdrawnBy: row.withdrawn_by,
    note: row.withdrawal_reason ?? row.decision_reason,
    madeAlone: row.made_alone,
    announcedAt: instant(row.announced_at),
  };
}
