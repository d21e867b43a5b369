import type { Settlement } from '../api/shapes';
import { isNegative, isZero } from '../format/money';
import { Amount } from '../parts/amount';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import styles from './settlement.module.css';

/** The figures that people come for. The one that is paid is the large one. */
export function Totals({ settlement }: { readonly settlement: Settlement }) {
  const { payable, takings, tax, charges, siteShare, operatorShare, earlier } = settlement.totals;
  const { membership } = useOperator();
  const text = words.settlement.totals;
  const isOwn = membership.role === 'site-manager';
  const [payableText, owedText] = isOwn ? [text.payableToYou, text.owedByYou] : [text.payable, text.owed];
  const rest = [
    { name: text.takings, money: takings, always: true },
    { name: text.tax, money: tax, always: false },
    { name: text.charges, money: charges, always: false },
    { name: text.siteShare, money: siteShare, always: true },
    { name: text.operatorShare, money: operatorShare, always: true },
    { name: text.earlier, money: earlier, always: false },
  ].filter(({ money, always }) => always || !isZero(money));
  return (
    <dl className={styles.totals}>
      <div className={styles.mainTotal}>
        <dt>{isNegative(payable) ? owedText : payableText}</dt>
        <dd>
          <Amount money={payable} alone />
        </dd>
      </div>
      {rest.map(({ name, money }) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>
            <Amount money={money} />
          </dd>
        </div>
      ))}
    </dl>
  );
}
