import type { PartyAccount } from '../api/shapes';
import { isZero } from '../format/money';
import { Amount } from '../parts/amount';
import { words } from '../words/words';
import styles from './site-account.module.css';

interface MadeOfProps {
  readonly account: PartyAccount;
  readonly name: string;
}

const parts = ['openItems', 'carried', 'unmatched', 'handed', 'advances'] as const;

/** The balance, cut up; what is nothing is left out. */
export function MadeOf({ account, name }: MadeOfProps) {
  const text = words.siteAccount.madeOf;
  const shown = parts.filter((part) => !isZero(account.madeOf[part]));
  if (shown.length === 0) return null;
  return (
    <table className={styles.short}>
      <caption className="visually-hidden">{`${text.title}: ${name}`}</caption>
      <tbody>
        {shown.map((part) => (
          <tr key={part}>
            <th scope="row">{text[part]}</th>
            <td className="figure">
              <Amount money={account.madeOf[part]} alone />
            </td>
          </tr>
        ))}
        <tr className="end">
          <th scope="row">{text.balance}</th>
          <td className="figure">
            <Amount money={account.closing} alone />
          </td>
        </tr>
      </tbody>
    </table>
  );
}
