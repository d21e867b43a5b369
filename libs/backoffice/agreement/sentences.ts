import { toTerms, type TermsDocument } from '#contracts/terms';
import { plainTerms } from '#domain/terms/plain-language';
import { formatAmount, formatDate, formatDecimal } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import type { TermsWriting } from './writing';

/** Terms in plain words, as the statement will print them in this language; a party without a name goes by its id. */
export function termsInWords(document: TermsDocument, writing: TermsWriting): string[] {
  const language = languageOf(writing.locale);
  const { words, conventions } = language;
  return plainTerms(toTerms(document), {
    catalogue: words.termsCatalogue,
    party: (id) => writing.partyNames.get(id) ?? id,
    amount: (amountMinor) => `${formatAmount(amountMinor, document.currency, conventions)}${writing.namesCurrency ? `\u00a0${document.currency}` : ''}`,
    percent: (percent) => words.sharing.percent(formatDecimal(percent, conventions)),
    date: (date) => formatDate(date, language),
  });
}
