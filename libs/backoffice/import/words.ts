import { writtenLanguage, type WrittenLanguage } from '#statement/words/languages';
import type { LineErrorCode } from './check-line';
import type { ImportErrorWords } from './error-words';
import { keyLineErrorWords } from './keys/words';
import type { HeaderProblem } from './columns';
import type { UnreadableFile } from './read-file';
import { germanImportErrors } from './words-german';
import { spanishImportErrors } from './words-spanish';

/** What each reason means and what to do, for people. */
export const lineErrorWords: Readonly<Record<LineErrorCode, string>> = {
  'cell-missing': 'This cell must not be empty.',
  'too-many-cells': 'The line has more cells than the first line has names. Is a text with a delimiter in it not in quotes?',
  'unknown-site': 'There is no site with this code.',
  'unknown-machine': 'There is no machine with this tag.',
  'unknown-person': 'Nobody of the operator has this code.',
  'not-placed-here': 'The machine did not stand at this site on that day. Was it moved, or is this the count of its removal?',
  'not-a-date': 'Write the day as year-month-day: 2026-10-14.',
  'not-a-time': 'Write the time as hours and minutes of 24: 14:30.',
  'date-in-the-future': 'This day has not come yet at the site.',
  'before-site-opened': 'The site was not open yet on this day.',
  'not-an-amount': 'Write digits with one decimal mark and no thousands mark. Is the decimal mark of the file the one that was set?',
  'negative-amount': 'An amount that was counted cannot be negative.',
  'too-many-digits': 'The currency of the site has fewer digits after the decimal mark.',
  'amount-too-large': 'The amount is larger than any cash box holds.',
  'other-currency': 'The site has another currency.',
  'not-a-part': 'Write a whole number from 1 to 99, or leave the cell empty.',
  'not-yes-or-no': 'Write yes or no, or leave the cell empty.',
  'not-tokens': 'Write each token once as name=pieces, several joined by |: RED=12|BLUE=3. A million pieces at most.',
  'unknown-token': 'The terms of the site on that day know no such token.',
  'metered-amount-missing': 'The terms go by the meters on that day: enter the cash that they imply.',
  'meters-recorded': 'The meters of this machine are recorded: leave this empty and enter what they show in the column readings.',
  'not-readings': 'Write each meter once as label=value, several joined by |: Coins=00130|Notes=00014. Up to twelve digits.',
  'unknown-meter': 'The machine had no meter with this label at that moment.',
  'more-digits-than-meter': 'The meter does not show as large a number.',
  'read-twice': 'There is a reading of this meter at this moment already.',
  'machine-twice': 'The same machine stands in this visit already. Number the parts of a box that was counted in parts.',
  'visit-booked-to-two-dates': 'The lines of one visit name different accounting dates.',
  'visit-by-two-collectors': 'The lines of one visit name different collectors.',
  'more-than-counted': 'More was handed to the site at this visit than came out of its boxes. Coins and notes include what was handed over.',
  'visit-known': 'A collection at this site at this time is in the books already.',
  'no-agreement': 'No agreement with this site held on that day. Record it first, or book the visit to another day.',
};

const inEnglish: ImportErrorWords = { ...keyLineErrorWords, ...lineErrorWords };
const wordsIn: Readonly<Record<WrittenLanguage, ImportErrorWords>> = { en: inEnglish, de: germanImportErrors, es: spanishImportErrors };

/** The words for a reason, of whichever kind of file it is, in the language that was asked for. */
export function wordsOf(code: string, language?: string): string {
  const words: Readonly<Record<string, string>> = wordsIn[writtenLanguage(language)];
  return words[code] ?? code;
}

export const headerWords: Readonly<Record<HeaderProblem['code'], string>> = {
  'unknown-column': 'There is no column of this name.',
  'column-twice': 'This column stands there twice.',
  'column-missing': 'This column is missing.',
};

export const unreadableWords: Readonly<Record<UnreadableFile['code'], string>> = {
  'not-utf-8': 'The file is not in UTF-8. Save it as "CSV UTF-8" and upload it again.',
  'quotes-do-not-match': 'A text in quotes does not end, or a quote stands in the middle of a text.',
  'line-too-long': 'A line is longer than 4,000 characters. Is this a file of comma- or semicolon-separated values?',
  'empty-file': 'The file is empty.',
};
