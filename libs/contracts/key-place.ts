import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, nameSchema, revisionSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** A hook or key safe at a site for access keys: everybody on its list counts as able to open, without an event per shift. */
export const keyPlaceSchema = z
  .strictObject({
    id: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    code: codeSchema,
    name: nameSchema,
    responsible: z
      .strictObject({ personId: idSchema, name: z.string(), since: instantSchema.nullable() })
      .describe('Who answers for it at present, and since when; `since` is null for the first, who answered for it from whenever it was there.'),
    formerResponsible: z.array(z.strictObject({ personId: idSchema, name: z.string(), from: instantSchema.nullable(), until: instantSchema })).describe('Who answered for it before, in order.'),
    users: z.array(z.strictObject({ personId: idSchema, name: z.string(), from: instantSchema, until: instantSchema.nullable() })).describe('Who may use it, and who might in the past.'),
    revision: revisionSchema,
  })
  .meta({ id: 'KeyPlace' });
export type KeyPlace = z.infer<typeof keyPlaceSchema>;

export const createKeyPlaceSchema = z.strictObject({ id: idSchema.optional(), siteId: idSchema, code: codeSchema, name: nameSchema, responsiblePersonId: idSchema });
export type CreateKeyPlace = z.infer<typeof createKeyPlaceSchema>;

const momentSchema = instantSchema.optional().describe('Now when left out.');
export const changeKeyPlaceSchema = z
  .strictObject({
    name: nameSchema.optional(),
    responsiblePersonId: idSchema.optional().describe('Who answers for it from `since` on. Whoever did so before did up to then.'),
    since: momentSchema,
  })
  .refine(({ since, responsiblePersonId }) => since === undefined || responsiblePersonId !== undefined, {
    path: ['since'], message: 'Since when whom? Name who answers for it as well.', params: { code: 'without-person' },
  });
export type ChangeKeyPlace = z.infer<typeof changeKeyPlaceSchema>;

export const addKeyPlaceUserSchema = z.strictObject({ personId: idSchema, from: momentSchema });
export type AddKeyPlaceUser = z.infer<typeof addKeyPlaceUserSchema>;

export const endKeyPlaceUserSchema = z.strictObject({ personId: idSchema, until: momentSchema });
export type EndKeyPlaceUser = z.infer<typeof endKeyPlaceUserSchema>;

export const keyPlaceListQuerySchema = pageQuerySchema.extend({ siteId: idSchema.optional() });
export type KeyPlaceListQuery = z.infer<typeof keyPlaceListQuerySchema>;
export const keyPlacePageSchema = pageSchema(keyPlaceSchema);
