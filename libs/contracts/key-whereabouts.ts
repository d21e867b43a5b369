import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, nameSchema } from './format';

export const lockOpensSchema = z.enum(['play-area', 'cash-box', 'everything']).describe('What is behind the lock; `everything`: one lock for play area and cash box.');

/** A person by the code and name that people know them by. */
export const keyPersonSchema = z
  .strictObject({
    personId: idSchema,
    code: codeSchema,
    name: nameSchema,
    employedBy: z.enum(['operator', 'site']),
    siteId: idSchema.nullable().describe('Where somebody of a site works; null for the operator’s own people.'),
    siteCode: codeSchema.nullable(),
  })
  .meta({ id: 'KeyPerson' });
export type KeyPerson = z.infer<typeof keyPersonSchema>;

export const keyHolderSchema = z
  .strictObject({
    kind: z.enum(['person', 'store', 'place']).describe('A person, a store of the operator (safe, van, envelope), or a named place at a site (hook, key safe).'),
    id: idSchema,
    code: codeSchema,
    name: nameSchema,
    siteId: idSchema.nullable().describe('Site of the place, or where the person works; null for the operator’s own stores and people.'),
    siteCode: codeSchema.nullable(),
  })
  .meta({ id: 'KeyHolder' });
export type KeyHolder = z.infer<typeof keyHolderSchema>;

/** Where a copy was at a moment. */
export const keyWhereaboutsSchema = z
  .strictObject({
    state: z.enum(['held', 'missing', 'destroyed']),
    holder: keyHolderSchema.nullable().describe('Null when missing or destroyed.'),
    since: instantSchema,
    dueBackAt: instantSchema.nullable().describe('Until when it was lent.'),
  })
  .meta({ id: 'KeyWhereabouts' });
export type KeyWhereabouts = z.infer<typeof keyWhereaboutsSchema>;
