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
  const kinds = document.machineKinds === 'all' ? [] : [says.only(new Intl.ListFormat(locale).format(document.machineKinds.map((kind) => words.machineKind(kind))))];
  if (document.method === 'fixed') {
    const { currency, per, timing } = document;
    const amounts = document.components.map(({ amount }) => formatMoney({ amount, currency }, locale)).join(' + ');
    return [says.fixed(amounts, per === 'month' ? says.perMonth : says.perYear), ...(timing.kind === 'when-due' ? [says.dueOn(dayOfYear(timing))] : []), ...kinds].join(', ');
  }
  const { currency, capPerMachineMonth: cap } = document;
  const rates = document.components.map(({ ratePercent }) => percentOf(ratePercent)).join(' + ');
  return [says[document.method](rates), ...(cap === null ? [] : [says.atMost(formatMoney({ amount: cap, currency }, locale))]), ...kinds].join(', ');
}

/** A day of any year: the year in which it is written is not shown. */
function dayOfYear({ month, day }: { readonly month: number; readonly day: number }): string {
  return new Intl.DateTimeFormat(locale, { month: 'long', day: 'numeric', timeZone: 'UTC' }).format(new Date(Date.UTC(2023, month - 1, day)));
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
