import { z } from 'zod';
import { codeSchema, instantSchema, localDateSchema, reasonSchema } from '#contracts/format';
import { NEEDED, wordsOfIssue } from './words-of-issue';

const schema = z.strictObject({
  reason: reasonSchema,
  name: z.string().min(1).max(3),
  day: localDateSchema,
  at: instantSchema,
  id: z.uuid(),
  kind: z.enum(['safe', 'van']),
  count: z.int().min(1).max(99),
  list: z.array(z.string()).min(1).max(2),
  code: codeSchema,
  own: z.string().regex(/^x$/, 'must be an x'),
  digest: z.string().regex(/^[0-9a-f]{2}$/),
});
const good = { reason: 'Counted twice', name: 'abc', day: '2026-10-31', at: '2026-10-31T18:05:00Z', id: '018f0000-0000-7000-8000-000000000000', kind: 'van', count: 7, list: ['a'], code: 'A-1', own: 'x', digest: 'a0' };

it.each([
  [{ reason: undefined }, NEEDED],
  [{ reason: 7 }, 'It must be a text.'],
  [{ reason: '' }, 'It must have at least 3 characters.'],
  [{ name: '' }, 'It must not be empty.'],
  [{ name: 'abcd' }, 'It must have at most 3 characters.'],
  [{ day: '31.10.2026' }, 'It must be a day, such as 2026-10-31.'],
  [{ at: '2026-10-31 18:05' }, 'It must be an instant with its offset, such as 2026-10-31T18:05:00+01:00.'],
  [{ id: '7' }, 'It must be an id, a UUID.'],
  [{ kind: 'box' }, 'It must be one of: safe, van.'],
  [{ count: 0 }, 'It must be at least 1.'],
  [{ count: 100 }, 'It must be at most 99.'],
  [{ count: 'x' }, 'It must be a number.'],
  [{ list: [] }, 'It must have at least 1 entry.'],
  [{ list: ['a', 'b', 'c'] }, 'It must have at most 2 entries.'],
  [{ list: {} }, 'It must be a list.'],
  [{ own: 'y' }, 'must be an x'],
  [{ digest: 'y' }, 'It is not written in the form that this field has.'],
])('says of %j what a person can mend', (wrong, expected) => {
  const read = schema.safeParse({ ...good, ...wrong }, { error: wordsOfIssue });
  expect(read.error?.issues.map(({ message }) => message)).toEqual([expected]);
});
