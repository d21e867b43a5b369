import { useQuery } from '@tanstack/react-query';
import { Fragment, useState } from 'react';
import type { Days } from '../api/journal-api';
import type { ChartAccount, TrialBalance } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { chartRows, columns, type ChartRow, type Figures } from './balance-rows';
import { chartQuery, trialBalanceQuery } from './queries';
import styles from './journal.module.css';

const text = words.journal;
const chartWords: Readonly<Record<string, { readonly name: string; readonly meaning: string } | undefined>> = words.chart;
const heads = { opening: text.opening, debits: text.debits, credits: text.credits, balance: text.closing };

/** Every account with what it had before, what moved it and what it has; in a table per currency. */
export function Balance({ days }: { readonly days: Days }) {
  const { api } = useOperator();
  const chart = useQuery(chartQuery(api));
  const balance = useQuery(trialBalanceQuery(api, days));
  return (
    <section className="section" aria-labelledby="balance">
      <h2 id="balance">{text.balance}</h2>
      <Answer question={chart} lines={8}>
        {(accounts) => (
          <Answer question={balance} lines={8}>
            {(found) => (found.totals.length === 0 ? <p className="soft">{text.noBalance}</p> : found.totals.map((total) => <OneCurrency key={total.currency} total={total} balance={found} chart={accounts} />))}
          </Answer>
        )}
      </Answer>
    </section>
  );
}

interface OneCurrencyProps {
  readonly total: TrialBalance['totals'][number];
  readonly balance: TrialBalance;
  readonly chart: readonly ChartAccount[];
}

function OneCurrency({ total: { currency, debits, credits }, balance, chart }: OneCurrencyProps) {
  // An account that this page does not know goes by what the api calls it.
  const rows = chartRows({ accounts: balance.accounts, chart, currency }).map((row) => ({ ...row, ...chartWords[row.code] }));
  const title = text.inCurrency(text.balance, currency);
  return (
    <div className="stack">
      <Wide title={title}>
        <table className={styles.balance}>
          <caption className="visually-hidden">{title}</caption>
          <thead>
            <tr>
              <th scope="col">{text.account}</th>
              {columns.map((column) => (
                <th key={column} scope="col" className="figure">
                  {heads[column]}
                </th>
              ))}
            </tr>
          </thead>
          {(['asset', 'liability', 'income', 'expense'] as const).map((kind) => {
            const own = rows.filter((row) => row.kind === kind);
            return own.length === 0 ? null : (
              <tbody key={kind}>
                <tr>
                  <th scope="rowgroup" colSpan={columns.length + 1} className={styles.kind}>
                    {text.kind[kind]}
                  </th>
                </tr>
                {own.map((row) => (
                  <OneAccount key={row.code} row={row} />
                ))}
              </tbody>
            );
          })}
        </table>
      </Wide>
      <p>{debits.amount === credits.amount ? text.even(formatMoney(debits, locale)) : text.uneven(formatMoney(debits, locale), formatMoney(credits, locale))}</p>
    </div>
  );
}

function OneAccount({ row: { name, meaning, figures, holders } }: { readonly row: ChartRow }) {
  const [open, setOpen] = useState(false);
  return (
    <Fragment>
      <tr>
        <th scope="row">
          {name}
          {holders.length === 0 ? null : (
            <>
              {' '}
              <button type="button" className={`button-plain small ${styles.opener}`} aria-expanded={open} onClick={() => setOpen(!open)}>
                {open ? text.hide : text.holders(holders.length)}
                <span className="visually-hidden">{`: ${name}`}</span>
              </button>
            </>
          )}
          <Before figures={figures} />
          <div className={`soft small ${styles.meaning}`}>{meaning}</div>
        </th>
        <Amounts figures={figures} />
      </tr>
      {open
        ? holders.map((holder) => (
            <tr key={holder.code} className={styles.holder}>
              <th scope="row">
                {holder.name}
                <Before figures={holder.figures} />
              </th>
              <Amounts figures={holder.figures} />
            </tr>
          ))
        : null}
    </Fragment>
  );
}

/** What led to the balance, where the window has no room for its columns. */
function Before({ figures }: { readonly figures: Figures }) {
  const before = columns.filter((column) => column !== 'balance');
  return <div className={`soft small ${styles.before}`}>{before.map((column) => `${heads[column]} ${formatMoney(figures[column], locale)}`).join(', ')}</div>;
}

function Amounts({ figures }: { readonly figures: Figures }) {
  return columns.map((column) => (
    <td key={column} className="figure">
      <Amount money={figures[column]} />
    </td>
  ));
}
