import type { ProposeBankDetail } from '#contracts/bank-detail';
import { announceBankDetails } from '#backoffice/bank-detail/announce';
import { confirmBankDetail } from '#backoffice/bank-detail/decide';
import { proposeBankDetail } from '#backoffice/bank-detail/propose';
import { tellPayees } from '#backoffice/bank-detail/tell-payee';
import type { Caller } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import type { BankAccount } from '#domain/payment-file/bank-account';
import { expectDone } from './expect-done';
import type { DemoIds } from './set-up';
import type { DemoEvent } from './visits';
import type { DemoOperator } from './world';

type Accounts = { readonly deps: Backoffice; readonly bookkeeper: Caller; readonly owner: Caller; readonly operator: DemoOperator; readonly ids: DemoIds };

/** In days before today: before the payments. */
const ENTERED_DAYS_AGO = 70;

/** The last sites of the list have sent no account yet: a run leaves them out, and says why. */
const SITES_WITHOUT = 2;

/**
 * Where the operator pays from, and where most payees want to be paid: the bookkeeper enters each, the owner types it anew. The banks are none: nobody has
 * a routing number of 80 (once kept for travellers' cheques) or a German sort code that begins with 9 (the areas are 1 to 8); both from memory.
 */
export function bankAccountEvents({ deps, bookkeeper, owner, operator, ids }: Accounts, today: LocalDate): readonly DemoEvent[] {
  const enter = async (partyId: string | null, account: BankAccount): Promise<void> => {
    const { accountFrom } = operator.words;
    const proposal: ProposeBankDetail = { partyId, account, reason: partyId === null ? accountFrom.contract : accountFrom.letter };
    const { id } = expectDone(await proposeBankDetail(deps, bookkeeper, proposal), `enter the account of ${account.holderName}`);
    const typed = account.kind === 'iban' ? { number: account.iban } : { number: account.accountNumber, routingNumber: account.routingNumber };
    expectDone(await confirmBankDetail(deps, owner, { id, ...typed }), `confirm the account of ${account.holderName}`);
  };
  return [
    {
      on: addDays(today, -ENTERED_DAYS_AGO),
      enter: async () => {
        await enter(null, inventedAccount(operator, { position: 0, holderName: operator.name }));
        for (const [index, site] of operator.sites.slice(0, -SITES_WITHOUT).entries()) {
          await enter(ids.owners.get(site.code) ?? '', inventedAccount(operator, { position: index + 1, holderName: site.owner.name }));
        }
      },
    },
  ];
}

/** What was mailed about the accounts is mail of the past: the first worker does not send it, to addresses that are invented. */
export async function passMailsOver(deps: Pick<Backoffice, 'database' | 'clock'>): Promise<void> {
  const mail = {
    send: async () => Promise.resolve('sent' as const),
    onTrouble: (error: unknown) => {
      throw error;
    },
  };
  // An announcement is at its end once the payees are told.
  await tellPayees(deps, mail);
  await announceBankDetails(deps, mail);
}

/** Of the kind that the operator's country has; position 0 is the operator's own. */
export function inventedAccount({ country }: Pick<DemoOperator, 'country'>, { position, holderName }: { readonly position: number; readonly holderName: string }): BankAccount {
  const serial = String(4_170_000 + position * 1_013);
  if (country === 'DE') return { kind: 'iban', holderName, iban: ibanOf('DE', `99000010${serial.padStart(10, '0')}`), bic: null };
  const originator = position === 0 ? { companyId: '1990000010', bankName: 'Brackwater Valley Bank (invented)' } : null;
  return { kind: 'us', holderName, routingNumber: '800999997', accountNumber: serial.padStart(9, '0'), accountType: 'checking', holderKind: 'business', originator };
}

/** Check digits by ISO 13616: with them the whole leaves 1 of 97. */
function ibanOf(country: string, account: string): string {
  const inDigits = [...`${account}${country}00`].map((character) => Number.parseInt(character, 36).toString()).join('');
  return `${country}${String(98n - (BigInt(inDigits) % 97n)).padStart(2, '0')}${account}`;
}
