import type { ChartAccount, TrialBalance } from '../api/shapes';
import { sum, type Money } from '../format/money';

type Row = TrialBalance['accounts'][number];
export const columns = ['opening', 'debits', 'credits', 'balance'] as const;
export type Figures = Readonly<Record<(typeof columns)[number], Money>>;

/** One account of the chart: its sums, and the accounts of its holders where there are any. */
export interface ChartRow {
  readonly code: string;
  /** As people write it: `Cash with collectors`. */
  readonly name: string;
  readonly meaning: string;
  readonly kind: Row['kind'];
  readonly figures: Figures;
  readonly holders: readonly { readonly code: string; readonly name: string; readonly figures: Figures }[];
}

const kinds = ['asset', 'liability', 'income', 'expense'] as const;

/** The accounts of one currency by the chart: assets first, each with the accounts of its holders. */
export function chartRows({ accounts, chart, currency }: { accounts: readonly Row[]; chart: readonly ChartAccount[]; currency: string }): ChartRow[] {
  const own = accounts.filter(({ balance }) => balance.currency === currency);
  const rows = chart.flatMap((account): ChartRow[] => {
    const held = own.filter(({ code }) => codeInChart(code) === account.code);
    const [first] = held;
    if (first === undefined) return [];
    const holders = account.per === 'operator' ? [] : held.map((row) => ({ code: row.code, name: holderOf(row), figures: figuresOf([row]) }));
    return [{ code: account.code, name: nameOf(account), meaning: account.meaning, kind: first.kind, figures: figuresOf(held), holders }];
  });
  return kinds.flatMap((kind) => rows.filter((row) => row.kind === kind));
}

/** `payable-to-payee:0199…` is the account of one holder. */
function codeInChart(code: string): string {
  return code.split(':')[0] ?? code;
}

/** `assets:cash:counting room` is `Cash: counting room`. */
function nameOf({ name }: ChartAccount): string {
  const said = name.split(':').slice(1).join(': ');
  return said.charAt(0).toUpperCase() + said.slice(1);
}

/** Name and code: `Quay Tavern Hospitality, P-12`; who has no name goes by the code. */
export function holderOf({ name, holderName }: Pick<Row, 'name' | 'holderName'>): string {
  const code = name.split(':').at(-1) ?? name;
  return holderName === null ? code : `${holderName}, ${code}`;
}

function figuresOf(rows: readonly Row[]): Figures {
  const total = (column: keyof Figures): Money => {
    const amount = sum(rows.map((row) => row[column]));
    if (amount === null) throw new Error('accounts of several currencies in one sum');
    return amount;
  };
  return { opening: total('opening'), debits: total('debits'), credits: total('credits'), balance: total('balance') };
}
