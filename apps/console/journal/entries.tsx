import { useInfiniteQuery } from '@tanstack/react-query';
import type { Days } from '../api/journal-api';
import type { JournalEntry } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { More } from '../parts/more';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { holderOf } from './balance-rows';
import { entriesQuery } from './queries';
import styles from './journal.module.css';

const text = words.journal;

const chart: Readonly<Record<string, { readonly name: string } | undefined>> = words.chart;

/**
 * `payable-to-payee:0199…` of Quay Tavern is `Payable: Quay Tavern, P-12`; who has no name goes by the code, and an account that
 * this page does not know by what the api calls it.
 */
function accountInWords({ account, name, holderName }: { readonly account: string; readonly name: string; readonly holderName: string | null }): string {
  const [code = '', holder] = account.split(':');
  const known = chart[code]?.name;
  if (known === undefined) return [...name.split(':').slice(0, -1), holderOf({ name, holderName })].join(': ');
  return holder === undefined ? known : `${known}: ${holderOf({ name, holderName })}`;
}

/** What was booked in these days, entry by entry with all its postings. */
export function Entries({ days }: { readonly days: Days }) {
  const { api } = useOperator();
  const question = useInfiniteQuery(entriesQuery(api, days));
  const entries = question.data?.pages.flatMap(({ items }) => items);
  return (
    <section className="section" aria-labelledby="entries">
      <h2 id="entries">{text.entries}</h2>
      <Answer question={{ ...question, data: entries }} lines={8}>
        {(found) => (found.length === 0 ? <p className="soft">{text.noEntries}</p> : <EntryTable entries={found} />)}
      </Answer>
      <More question={question} />
    </section>
  );
}

function EntryTable({ entries }: { readonly entries: readonly JournalEntry[] }) {
  return (
    <Wide title={text.entries}>
      <table className={styles.entries}>
        <caption className="visually-hidden">{text.entries}</caption>
        <thead>
          <tr>
            <th scope="col">{text.account}</th>
            <th scope="col" className="figure">
              {text.amount}
            </th>
          </tr>
        </thead>
        {entries.map((entry) => (
          <tbody key={entry.id}>
            <tr>
              <th scope="rowgroup" colSpan={2}>
                {text.entry(entry.kind)}
                <span className="soft small">{` ${[formatDay(entry.date, locale), entry.reference ?? ''].filter((each) => each !== '').join(', ')}`}</span>
              </th>
            </tr>
            {entry.postings.map(({ account, amount, ...posting }, index) => (
              <tr key={`${index} ${account}`}>
                <td>{accountInWords({ account, ...posting })}</td>
                <td className="figure">
                  <Amount money={amount} alone />
                </td>
              </tr>
            ))}
          </tbody>
        ))}
      </table>
    </Wide>
  );
}
