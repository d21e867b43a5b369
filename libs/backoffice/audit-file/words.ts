import type { UnfedMeter } from '#domain/audit-data/to-meters';
import type { AuditRefusal } from '#domain/audit-data/envelope';

/** Why a transmission is refused; the element that is meant stands before it. */
export const auditWords: { readonly [code in AuditRefusal['code']]: string } = {
  'not-text': 'The file holds bytes that are no plain ASCII text. Export it from the reader again, without converting it.',
  'not-audit-data': 'This is no transmission of audit data: it should begin with DXS and hold one set between ST and SE.',
  'cut-off': 'The file ends before the transmission does. Read the machine out again.',
  'no-checksum': 'The transmission has no checksum (G85), so that nothing says whether it arrived as it was sent.',
  'wrong-checksum': 'The checksum does not fit what the file holds: something was changed or lost. Read the machine out again.',
  'wrong-count': 'It does not hold as many segments or sets as it says.',
  'wrong-control-number': 'Beginning and end are not of the same transmission.',
  'not-a-number': 'There is no whole number here.',
  'does-not-add-up': 'The totals do not add up here.',
  'unit-not-proved': 'No total says whether these notes are in whole units of the currency or not.',
  'twice': 'The segment is there twice.',
  'recycled': 'The machine gave notes out again, and the file does not say how many of them are in the box. Count them, and type what the meters show.',
};

/** Which of two files of a machine does not go with the other. */
export const sequenceWords = {
  before: 'It does not follow on the file before.',
  after: 'The file after it does not follow on it.',
} as const;

export const unfedWords: { readonly [code in Exclude<UnfedMeter['code'], 'not-told'>]: string } = {
  'not-whole-units': 'The amount is no whole number of what one unit of the meter is worth.',
  'too-large': 'The meter cannot show as much.',
  'two-meters': 'The board has two meters of this kind, and the file tells of both in one.',
};
