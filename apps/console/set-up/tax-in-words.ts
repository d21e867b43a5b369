import type { LawLimit, TaxRule } from '../api/shapes';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { words } from '../words/words';

type RuleDocument = TaxRule['document'];

const text = words.setUp.taxAreas;

const percentOf = (text: string): string => new Intl.NumberFormat(locale, { style: 'unit', unit: 'percent', maximumFractionDigits: 9 }).format(text as Intl.StringNumericLiteral);

/** What a tax takes, in one line. */
export function ruleInWords(document: RuleDocument): string {
  const says = text.ruleSays;
  if (document.method === 'fixed') {
    const { currency, per } = document;
    const amounts = document.components.map(({ amount }) => formatMoney({ amount, currency }, locale)).join(' + ');
    return says.fixed(amounts, per === 'month' ? says.perMonth : says.perYear);
  }
  return says[document.method](document.components.map(({ ratePercent }) => percentOf(ratePercent)).join(' + '));
}

/** What the law limits, in one sentence. */
export function limitInWords(document: LawLimit['document']): string {
  switch (document.kind) {
    case 'highest-site-share':
      return text.limit['highest-site-share'](percentOf(document.percent));
    case 'fixed-split':
      return text.limit['fixed-split'](percentOf(document.operatorPercent), percentOf(document.sitePercent));
    case 'no-advances':
      return text.limit['no-advances'];
  }
}
