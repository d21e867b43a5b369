import type { OpenItem } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney, isNegative, negated } from '../format/money';
import { words } from '../words/words';
import styles from './payments.module.css';

interface ItemChoiceProps {
  readonly id: string;
  readonly items: readonly OpenItem[];
  readonly taken: readonly OpenItem[];
  readonly error: string | undefined;
  readonly onAccount: boolean;
  readonly onTaken: (settlementIds: readonly string[]) => void;
  readonly onOnAccount: (onAccount: boolean) => void;
}

/** The statements that a payment can pay; all of them, unless somebody takes one out. */
export function ItemChoice({ id, items, taken, error, onAccount, onTaken, onOnAccount }: ItemChoiceProps) {
  const text = words.payments;
  const ids = taken.map(({ settlementId }) => settlementId);
  return (
    <fieldset className={styles.choices} id={id} tabIndex={-1}>
      <legend>{text.pays}</legend>
      <span className="field-hint">{items.length === 0 ? text.nothingOpen : text.paysHint}</span>
      {error === undefined ? null : <span className="field-error">{error}</span>}
      {items.map(({ settlementId, number, open }) => (
        <label key={settlementId} className={styles.choice}>
          <input
            type="checkbox" disabled={onAccount} checked={!onAccount && ids.includes(settlementId)}
            onChange={(event) => onTaken(event.currentTarget.checked ? items.map((each) => each.settlementId).filter((each) => each === settlementId || ids.includes(each)) : ids.filter((each) => each !== settlementId))}
          />
          {text.item(number, formatMoney(isNegative(open) ? negated(open) : open, locale))}
        </label>
      ))}
      <label className={styles.choice}>
        <input type="checkbox" checked={onAccount} onChange={(event) => onOnAccount(event.currentTarget.checked)} />
        {text.onAccount}
      </label>
    </fieldset>
  );
}
