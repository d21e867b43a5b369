import { formatAmount, formatMoney, type Money } from '../format/money';
import { locale } from '../format/locale';

interface AmountProps {
  readonly money: Money;
  /** `exceptZero` also shows a plus, for differences. */
  readonly signs?: 'negative' | 'exceptZero';
  /** With the currency, for a figure that stands alone. */
  readonly alone?: boolean;
}

export function Amount({ money, signs = 'negative', alone = false }: AmountProps) {
  return <data value={money.amount}>{alone ? formatMoney(money, locale, signs) : formatAmount(money, locale, signs)}</data>;
}
