import { z } from 'zod';
import { idSchema, localDateSchema } from './format';

/** What can be found by a code, a number or a name, in the order in which it is shown. */
export const findableKinds = ['site', 'machine', 'settlement', 'party', 'person', 'key-code', 'key-copy'] as const;
export type FindableKind = (typeof findableKinds)[number];

export const searchQuerySchema = z.strictObject({
  text: z.string().trim().min(2).max(100).describe('Words that all stand in its code, number or name, in any order; upper and lower case mean the same.'),
});
export type SearchQuery = z.infer<typeof searchQuerySchema>;

const foundSchema = z
  .strictObject({
    id: idSchema,
    code: z.string().describe('Its code, tag or number.'),
    name: z.string().nullable().describe('Its name; of a machine the game in it, of a settlement the site, of a key copy the cut.'),
    place: z.string().nullable().describe('Of a machine the site where it stands today.'),
    startsOn: localDateSchema.nullable().describe('Of a settlement the first day of its period.'),
  })
  .meta({ id: 'Found' });
export type Found = z.infer<typeof foundSchema>;

export const searchAnswerSchema = z
  .strictObject({
    groups: z
      .array(
        z.strictObject({
          kind: z.enum(findableKinds),
          items: z.array(foundSchema).describe('Exact codes first, then what begins with the text.'),
          more: z.boolean().describe('There are more than are given here.'),
        }),
      )
      .describe('Only kinds of which something was found and may be read.'),
  })
  .meta({ id: 'SearchAnswer' });
export type SearchAnswer = z.infer<typeof searchAnswerSchema>;
