import type { Settlement } from '../api/shapes';
import { locale } from '../format/locale';
import { difference, formatMoney, isNegative, isZero, negated, type Money } from '../format/money';
import { words } from '../words/words';
import styles from './settlement.module.css';

/** How the share came about, told in sentences, for people who do not read accounts. */
export function Story({ totals }: { readonly totals: Settlement['totals'] }) {
  const text = words.settlement.story;
  const { takings, refunds, tax, charges, siteShare, payable } = totals;
  const rest = difference({ now: payable, before: siteShare });
  const told = (money: Money, sentence: (amount: string) => string) => (isZero(money) ? [] : [sentence(formatMoney(money, locale))]);
  const sentences = [
    text.takings(formatMoney(takings, locale)),
    ...told(refunds, text.refunds),
    ...told(tax, text.tax),
    ...told(charges, text.charges),
    text.share(formatMoney(siteShare, locale)),
    ...(rest === null ? [] : isNegative(rest) ? told(negated(rest), text.taken) : told(rest, text.added)),
  ];
  return (
    <ul className={styles.sentences}>
      {sentences.map((sentence) => (
        <li key={sentence}>{sentence}</li>
      ))}
    </ul>
  );
}
