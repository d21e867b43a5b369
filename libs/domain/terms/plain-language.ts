/** Terms as plain sentences in one language: what a bookkeeper reads before signing, and what the statement prints. */
import type { LocalDate } from '#domain/calendar/local-date';
import type { Decimal } from '#domain/money/decimal';
import type { PhraseCode, SentenceCode } from '#domain/terms/sentence-codes';
import type { Filling, Sentence } from '#domain/terms/sentence-parts';
import { sentencesAt, termsSentences } from '#domain/terms/sentences';
import type { PartyId, Terms } from '#domain/terms/types';

/** The words of one language. */
export interface TermsCatalogue {
  readonly sentences: Readonly<Record<SentenceCode, string>>;
  readonly phrases: Readonly<Record<PhraseCode, string>>;
  /** One party's part in a list of shares. */
  readonly share: string;
  readonly listSeparator: string;
}

/** How the reader writes names, amounts, percentages and dates. */
export interface Writing {
  readonly catalogue: TermsCatalogue;
  readonly party: (id: PartyId) => string;
  readonly amount: (amountMinor: bigint) => string;
  readonly percent: (percent: Decimal) => string;
  readonly date: (date: LocalDate) => string;
}

/** One string per sentence, in the order in which the money runs. */
export function plainTerms(terms: Terms, writing: Writing): string[] {
  return termsSentences(terms).map((sentence) => writeSentence(sentence, writing));
}

/** What one member of the terms, named by its JSON pointer, says; empty where only another choice would be said. */
export function plainTermsAt(terms: Terms, pointer: string, writing: Writing): string[] {
  return sentencesAt(terms, pointer).map((sentence) => writeSentence(sentence, writing));
}

function writeSentence({ code, fillings }: Sentence, writing: Writing): string {
  const text = fill(writing.catalogue.sentences[code], (name) => {
    const filling = fillings[name];
    if (filling === undefined) throw new Error(`The sentence ${code} has nothing to say for {${name}}`);
    return writeFilling(filling, writing);
  });
  // A name may begin the sentence.
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function writeFilling(filling: Filling, writing: Writing): string {
  switch (filling.kind) {
    case 'party':
      return writing.party(filling.party);
    case 'amount':
      return writing.amount(filling.amountMinor);
    case 'percent':
      return writing.percent(filling.percent);
    case 'date':
      return writing.date(filling.date);
    case 'phrase':
      return writing.catalogue.phrases[filling.code];
    case 'text':
      return filling.text;
    case 'shares':
      return filling.shares
        .map(({ party, percent }) => fill(writing.catalogue.share, (name) => (name === 'party' ? writing.party(party) : writing.percent(percent))))
        .join(writing.catalogue.listSeparator);
  }
}

function fill(template: string, valueOf: (name: string) => string): string {
  return template.replace(/\{(\w+)\}/g, (_whole, name: string) => valueOf(name));
}
