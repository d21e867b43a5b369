import type { z } from 'zod';

/** What a missing field is told; the code `missing` goes by it. */
export const NEEDED = 'This field is needed.';

const kinds: Readonly<Record<string, string>> = {
  string: 'a text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object with fields',
  record: 'an object with fields',
  null: 'null',
};

const formats: Readonly<Record<string, string>> = {
  date: 'It must be a day, such as 2026-10-31.',
  datetime: 'It must be an instant with its offset, such as 2026-10-31T18:05:00+01:00.',
  uuid: 'It must be an id, a UUID.',
  email: 'It must be an e-mail address.',
  // Of fields that people copy and do not type, such as a digest: the others have words of their own.
  regex: 'It is not written in the form that this field has.',
};

/**
 * What is wrong with a field in words for whoever sent it, where the contract has none of its own: the parser's speak of
 * its types. Nothing for what needs no others.
 */
export function wordsOfIssue(issue: z.core.$ZodRawIssue): string | undefined {
  switch (issue.code) {
    case 'invalid_type':
      return issue.input === undefined ? NEEDED : `It must be ${kinds[issue.expected] ?? issue.expected}.`;
    case 'too_small':
      return issue.origin === 'string' && issue.minimum === 1 ? 'It must not be empty.' : `It must ${bound(issue.origin, issue.minimum, issue.inclusive === false ? 'more than' : 'at least')}.`;
    case 'too_big':
      return `It must ${bound(issue.origin, issue.maximum, issue.inclusive === false ? 'less than' : 'at most')}.`;
    case 'invalid_value':
      return issue.values.length === 1 ? `It must be ${String(issue.values[0])}.` : `It must be one of: ${issue.values.map(String).join(', ')}.`;
    case 'invalid_format':
      return formats[issue.format];
    case 'invalid_union':
      return 'It has no form that is known here.';
    default:
      return undefined;
  }
}

function bound(origin: string, limit: number | bigint, comparison: string): string {
  if (origin === 'string') return `have ${comparison} ${limit} characters`;
  if (origin === 'array' || origin === 'set') return `have ${comparison} ${limit} ${limit === 1 ? 'entry' : 'entries'}`;
  return `be ${comparison} ${limit}`;
}
