import { dayInWords } from '#contracts/day-in-words';
import type { LocalDate } from '#domain/calendar/local-date';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import type { ExplanationCatalogue } from '#domain/settlement/explanation-catalogue';
import { englishExplanations } from '#domain/settlement/explanations-english';
import { germanExplanations } from '#domain/settlement/explanations-german';
import { spanishExplanations } from '#domain/settlement/explanations-spanish';
import { englishTerms } from '#domain/terms/catalogue-english';
import type { Writing } from '#domain/terms/plain-language';
import { formatAmount, formatDate, formatDecimal } from '#statement/words/format';
import { languageOf, writtenLanguage, type WrittenLanguage } from '#statement/words/languages';
import { explainLabels, type ExplainLabels } from './labels';

/** The language in which a settlement is explained, and how it writes amounts, days and terms. */
export type Speech = {
  readonly explanations: ExplanationCatalogue;
  readonly labels: ExplainLabels;
  readonly amount: (minor: bigint, currency: CurrencyCode) => string;
  readonly day: (day: LocalDate) => string;
  /** Sentences of terms, but for the names of the parties. */
  readonly terms: (currency: CurrencyCode) => Omit<Writing, 'party'>;
};

/** For programs, which name no language: English, with amounts and days of terms as fields of the API have them. */
const plain: Speech = {
  explanations: englishExplanations,
  labels: explainLabels.en,
  amount: formatMinor,
  day: dayInWords,
  terms: (currency) => ({
    catalogue: englishTerms,
    amount: (minor) => `${formatMinor(minor, currency)} ${currency}`,
    // A number and its sign stay on one line.
    percent: (percent) => `${percent}\u00a0%`,
    date: (date) => date,
  }),
};

const explanationsOf: Readonly<Record<WrittenLanguage, ExplanationCatalogue>> = { en: englishExplanations, de: germanExplanations, es: spanishExplanations };

/** `language`: the BCP 47 tag that was asked for, if any. */
export function speechFor(language: string | undefined): Speech {
  if (language === undefined) return plain;
  const written = languageOf(language);
  const { words, conventions } = written;
  const code = writtenLanguage(language);
  const amount = (minor: bigint, currency: CurrencyCode): string => formatAmount(minor, currency, conventions);
  const day = (date: LocalDate): string => formatDate(date, written);
  return {
    explanations: explanationsOf[code],
    labels: explainLabels[code],
    amount,
    day,
    terms: (currency) => ({ catalogue: words.termsCatalogue, amount: (minor) => `${amount(minor, currency)}\u00a0${currency}`, percent: (percent) => words.sharing.percent(formatDecimal(percent, conventions)), date: day }),
  };
}
