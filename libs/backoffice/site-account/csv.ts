import type { PartyAccount, SiteAccount } from '#contracts/site-account';
import { csvTable } from '../csv';

/** Columns of a statement of account (RFC 4180). Amounts are strict decimals with a point; `level` says what a line is. */
const columns = ['level', 'site', 'agreement', 'party', 'date', 'kind', 'reference', 'note', 'age_days', 'currency', 'amount', 'balance'] as const;

type Cells = { readonly [column in (typeof columns)[number]]?: string };

/** The bytes of a statement of account: per payee the opening balance, each line, the closing balance, ages, open items. */
export function accountCsv(account: SiteAccount): string {
  const lines = account.accounts.flatMap((each) => linesOf(each, account).map((cells) => ({ site: account.siteCode, agreement: each.agreementCode, party: each.partyName, currency: each.currency, ...cells })));
  return csvTable({ columns, numbers: ['amount', 'balance'] }, lines);
}

function linesOf(account: PartyAccount, { on, from }: SiteAccount): Cells[] {
  return [
    { level: 'opening', date: from ?? '', balance: account.opening.amount },
    ...account.lines.map((line) => ({ level: 'line', date: line.date, kind: line.kind, reference: line.reference, note: line.note, amount: line.amount.amount, balance: line.balance.amount })),
    { level: 'closing', date: on, balance: account.closing.amount },
    ...account.ageing.flatMap(({ fromDays, toDays, toPayee, fromPayee }) => {
      const age = toDays === null ? `over ${fromDays - 1}` : `${fromDays} to ${toDays}`;
      return [
        { level: 'age', kind: 'to-payee', age_days: age, amount: toPayee.amount },
        { level: 'age', kind: 'from-payee', age_days: age, amount: fromPayee.amount },
      ];
    }),
    ...account.items.map((item) => ({ level: 'open-item', date: item.dueOn, kind: item.disputed ? 'disputed' : 'open', reference: item.number, age_days: String(item.ageDays), amount: item.open.amount })),
  ];
}
