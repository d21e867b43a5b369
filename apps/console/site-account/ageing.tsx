import type { PartyAccount } from '../api/shapes';
import { isZero, unitsOf } from '../format/money';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { words } from '../words/words';
import styles from './site-account.module.css';

interface AgeingProps {
  readonly account: PartyAccount;
  readonly name: string;
}

/** How old what is open is: a bar for those who see it, the figures for everybody. The two sides are not set against each other. */
export function Ageing({ account, name }: AgeingProps) {
  const text = words.siteAccount.ageing;
  const { ageing, items } = account;
  const both = ageing.some((bucket) => !isZero(bucket.fromPayee));
  if (items.length === 0) return <p className="soft">{text.none}</p>;
  return (
    <div className="stack">
      <h3>{text.title}</h3>
      <Bar buckets={ageing} />
      <Wide title={`${text.title}: ${name}`}>
        <table className={styles.short}>
          <caption className="visually-hidden">{`${text.title}: ${name}`}</caption>
          <thead>
            <tr>
              <th scope="col">{text.age}</th>
              <th scope="col" className="figure">
                {text.toPayee}
              </th>
              {both ? (
                <th scope="col" className="figure">
                  {text.fromPayee}
                </th>
              ) : null}
            </tr>
          </thead>
          <tbody>
            {ageing.map((bucket, index) => (
              <tr key={bucket.fromDays}>
                <th scope="row">
                  <span className={styles.key} data-age={index} aria-hidden="true" />
                  {text.days(bucket.fromDays, bucket.toDays)}
                </th>
                <td className="figure">
                  <Amount money={bucket.toPayee} />
                </td>
                {both ? (
                  <td className="figure">
                    <Amount money={bucket.fromPayee} />
                  </td>
                ) : null}
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </div>
  );
}

/** Each age as wide as its part of all that is open, whoever owes it. */
function Bar({ buckets }: { readonly buckets: PartyAccount['ageing'] }) {
  const sizes = buckets.map(({ toPayee, fromPayee }) => Number(unitsOf(toPayee) - unitsOf(fromPayee)));
  return (
    <svg className={styles.bar} viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true" focusable="false">
      {sizes.map((size, index) => {
        const all = sizes.reduce((sum, each) => sum + each, 0);
        const before = sizes.slice(0, index).reduce((sum, each) => sum + each, 0);
        return size === 0 ? null : <rect key={buckets[index]?.fromDays} data-age={index} x={(before * 100) / all} y="0" width={(size * 100) / all} height="4" />;
      })}
    </svg>
  );
}
