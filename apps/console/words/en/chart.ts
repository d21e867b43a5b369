import { accountMeanings } from '#domain/journal/account-meanings';
import { chartOfAccounts, type AccountCode } from '#domain/journal/accounts';

const codes = Object.keys(chartOfAccounts) as AccountCode[];

/** `['cash', 'counting room']` is `Cash: counting room`. */
function nameOf(code: AccountCode): string {
  const said = chartOfAccounts[code].name.join(': ');
  return said.charAt(0).toUpperCase() + said.slice(1);
}

/** The accounts of the journal, and what each is for. */
export const chart = Object.fromEntries(codes.map((code) => [code, { name: nameOf(code), meaning: accountMeanings[code] }])) as Readonly<Record<AccountCode, { readonly name: string; readonly meaning: string }>>;
