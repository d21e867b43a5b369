/** What was found, as its receiver reads it. */
import type { StatementStanding } from '#contracts/statement-standing';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Timestamp } from '#statement/sign/timestamp';
import type { HeadsCompared } from '#statement/verify/compare-heads';
import type { PdfDifference } from '#statement/verify/pdf-objects';
import type { Finding, Why } from '#statement/verify/verify-statement';
import { de } from '#statement/verify/words/de';
import { en } from '#statement/verify/words/en';
import { es } from '#statement/verify/words/es';
import type { VerifierWords } from '#statement/verify/words/words';
import { formatDate } from '#statement/words/format';
import { languageOf } from '#statement/words/languages';

export type { VerifierWords } from '#statement/verify/words/words';

const WRITTEN: readonly VerifierWords[] = [en, de, es];

/** The words of the first of these BCP 47 locales whose language there is; English otherwise. */
export function verifierWordsOf(...locales: readonly string[]): VerifierWords {
  for (const locale of locales) {
    const found = WRITTEN.find(({ language }) => language === locale.split('-')[0]);
    if (found !== undefined) return found;
  }
  return en;
}

/** One sentence or two about a finding. `isFirst`: no statement came before. */
export function sentenceOf(finding: Finding, { isFirst, words }: { isFirst: boolean; words: VerifierWords }): string {
  if (finding.holds === true && finding.check === 'time-stamp') return stampSentence(finding.timestamp, words);
  if (finding.holds === true) return finding.check === 'earlier-head' && isFirst ? words.firstStatement : words.checks[finding.check].holds;
  return whySentence(finding.why, words);
}

/** In whole seconds of UTC: where the receiver's clock stands, no file knows. */
function stampSentence({ authority, stampedAt, trusted }: Timestamp, words: VerifierWords): string {
  const instant = stampedAt.toISOString();
  const at = `${formatDate(instant.slice(0, 10) as LocalDate, languageOf(words.language))}, ${instant.slice(11, 19)} UTC`;
  return words.checks['time-stamp'].holds({ by: authority, at, trusted });
}

function whySentence(why: Why, words: VerifierWords): string {
  switch (why.code) {
    case 'no-signature':
      return words.noSignature[why.problem];
    case 'engine-unknown':
      return words.engineUnknown(why.version);
    case 'page-unknown':
      return words.pageUnknown(why.version);
    case 'figures-differ':
      return why.lines.length === 0 ? words.hiddenFiguresDiffer : words.figuresDiffer(why.lines.join('; '));
    case 'page-differs':
      return differenceSentence(why.difference, words);
    default:
      return words.why[why.code];
  }
}

function differenceSentence(difference: PdfDifference, words: VerifierWords): string {
  switch (difference.kind) {
    case 'not-as-written':
      return words.notAsWritten(difference.at + 1);
    case 'objects-added-or-missing':
      return words.objectsAddedOrMissing;
    case 'object-differs':
      return words.objectDiffers(difference);
  }
}

type Said = Pick<StatementStanding, 'standing' | 'certificate'> & { readonly reversedOn: string | null; readonly revokedFrom: string };

/** What the operator's server said about a statement: one sentence about the statement, one about the certificate in the file where that was asked. Day and time as people write them. */
export function standingSentences(said: Said, words: VerifierWords): string[] {
  const { standing, certificate } = said;
  return [words.standing[standing](said.reversedOn ?? ''), ...(certificate === 'not-asked' ? [] : [words.certificate[certificate](said.revokedFrom)])];
}

/** Whether what the server said leaves the statement as it was issued. */
export function isUntouched({ standing, certificate }: StatementStanding): boolean {
  return standing === 'in-force' && (certificate === 'not-asked' || certificate === 'not-revoked' || certificate === 'revoked-later');
}

/** About two statements of one operator. */
export function headsSentence(compared: HeadsCompared, numbers: { older: string; newer: string }, { heads }: VerifierWords): string {
  switch (compared.kind) {
    case 'extends':
      return heads.extends(numbers);
    case 'does-not-extend':
      return heads.doesNotExtend(numbers);
    case 'same-number':
      return heads.sameNumber(numbers.newer);
    case 'statement-between':
      return heads.statementBetween({ ...numbers, between: compared.statementNumber });
    case 'nothing-to-compare':
      return heads.nothingToCompare(numbers);
    case 'other-log':
      return heads.otherLog(numbers);
  }
}
