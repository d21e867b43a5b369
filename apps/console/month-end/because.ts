import type { AgreementRow } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { words } from '../words/words';
import { causeOf } from './list';

/** Why the change of a row stands out, as far as the list tells; null where it tells nothing. */
export function becauseOf(row: AgreementRow): string | null {
  const cause = causeOf(row);
  const text = words.monthEnd.unusualBecause;
  if (cause?.kind === 'earlier') return text.earlier(formatMoney(cause.amount, locale));
  if (cause?.kind === 'takings') return text.takings(formatChange(cause.thousandths));
  if (cause?.kind === 'no-takings-before') return text.noTakingsBefore;
  return cause === null ? null : text.sameTakings;
}

/** Thousandths as a whole percentage with its sign. */
export function formatChange(thousandths: number): string {
  const options = { style: 'percent', maximumFractionDigits: 0, signDisplay: 'exceptZero' } as const;
  return new Intl.NumberFormat(locale, options).format(thousandths / 1000);
}
