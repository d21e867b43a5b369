import { toTerms, type TermsDocument } from '#contracts/terms';
import { plainTermsAt, type TermsCatalogue, type Writing } from '#domain/terms/plain-language';
import { formatMinor } from '#domain/money/amount';
import { formatDay } from '../format/day';
import { formatAmount } from '../format/money';
import type { Member, staying } from './draft';

interface InWords {
  readonly terms: TermsDocument;
  readonly members: readonly (Member | (typeof staying)[number])[];
  readonly partyName: (id: string) => string;
  readonly locale: string;
  readonly catalogue: TermsCatalogue;
}

/** What these members of the terms say, in the sentences that a statement prints. */
export function termsInWords({ terms, members, partyName, locale, catalogue }: InWords): string[] {
  const { currency } = terms;
  const writing: Writing = {
    catalogue,
    party: partyName,
    // As the api writes them once they are recorded: whoever compares the two finds the same sentence.
    amount: (minor) => `${formatAmount({ amount: formatMinor(minor, currency), currency }, locale)}\u00a0${currency}`,
    percent: (percent) => new Intl.NumberFormat(locale, { style: 'unit', unit: 'percent', maximumFractionDigits: 9 }).format(percent as Intl.StringNumericLiteral),
    date: (date) => formatDay(date, locale),
  };
  const all = toTerms(terms);
  return members.flatMap((member) => pointersOf(terms, member).flatMap((pointer) => plainTermsAt(all, pointer, writing)));
}

function pointersOf(terms: TermsDocument, member: InWords['members'][number]): string[] {
  if (member !== 'charges' && member !== 'guarantees') return [`/${member}`];
  return terms[member].map((_each, index) => `/${member}/${index}`);
}
