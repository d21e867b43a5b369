/** What is told about a checked statement beside its findings: the same words in the terminal and on the verifier's page. */
import { formatAmount, formatPeriod } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';
import type { VerifiedStatement } from '#statement/verify/verify-statement';
import type { VerifierWords } from '#statement/verify/words';

/** By whom, for whom, about what and what comes of it: one line of a list each. */
export function summaryOf({ number, document }: VerifiedStatement, words: VerifierWords): { label: string; value: string }[] {
  // In the language of the report, with numbers as the page writes them.
  const language = { ...languageOf(document.locale), words: languageOf(words.language).words };
  const { outcome } = language.words;
  const due = document.dueMinor;
  const label = due === 0n ? outcome.nothing : due > 0n ? outcome.paidToPayee : outcome.paidByPayee;
  return [
    { label: words.summary.statement, value: number },
    { label: words.summary.from, value: document.operator.name },
    { label: words.summary.payee, value: document.payee.name },
    { label: words.summary.site, value: `${document.site.name} (${document.site.code})` },
    { label: words.summary.period, value: formatPeriod(document, language) },
    { label, value: `${formatAmount(due < 0n ? -due : due, document.currency, language.conventions)} ${document.currency}` },
  ];
}
