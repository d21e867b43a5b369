import { Link } from 'react-router';
import type { AccountLine, PartyAccount } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { RunLink } from '../payments/run-link';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './site-account.module.css';

interface EntriesProps {
  readonly account: PartyAccount;
  readonly name: string;
}

/** Every entry with the balance after it. A figure above zero is in the payee's favour. */
export function Entries({ account, name }: EntriesProps) {
  const text = words.siteAccount.lines;
  const { lines } = account;
  return (
    <div className="stack">
      <h3>{text.title}</h3>
      {lines.length === 0 ? (
        <p className="soft">{text.none}</p>
      ) : (
        <Wide title={`${text.title}: ${name}`}>
          <table>
            <caption className="visually-hidden">{`${text.title}: ${name}`}</caption>
            <thead>
              <tr>
                <th scope="col" className={styles.date}>
                  {text.date}
                </th>
                <th scope="col">{text.what}</th>
                <th scope="col" className="figure">
                  {text.amount}
                </th>
                <th scope="col" className="figure">
                  {text.balance}
                </th>
              </tr>
            </thead>
            <tbody>
              {lines.map((line, index) => (
                <Entry key={`${index} ${line.date}`} line={line} />
              ))}
            </tbody>
          </table>
        </Wide>
      )}
    </div>
  );
}

function Entry({ line }: { readonly line: AccountLine }) {
  const text = words.siteAccount.lines;
  const { to, may } = useOperator();
  const settlement = line.settlementId !== null && may('settlement.read') ? <Link to={to(`settlements/${line.settlementId}`)}>{line.reference}</Link> : line.reference;
  const reference = line.run === null ? settlement : <RunLink run={line.run} />;
  return (
    <tr>
      <td className={styles.date}>{formatDay(line.date, locale)}</td>
      <th scope="row">
        <span className={styles.dateWithin}>{formatDay(line.date, locale)}</span>
        {text.kind[line.kind]} {reference}
        {line.carried === null ? null : <div className="soft small">{text.carried(formatMoney(line.carried, locale))}</div>}
        {line.note === '' ? null : <div className="soft small">{line.note}</div>}
      </th>
      <td className="figure">
        <Amount money={line.amount} />
      </td>
      <td className="figure">
        <Amount money={line.balance} />
      </td>
    </tr>
  );
}
