import { z } from 'zod';
import { idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** The owner's leave to give cash-box keys to somebody of a site: the operator's own site, or a person in both roles. */
export const keyExceptionSchema = z
  .strictObject({
    id: idSchema,
    siteId: idSchema.nullable(),
    personId: idSchema.nullable(),
    label: nameSchema.describe('Shown beside every event that it lets through.'),
    reason: reasonSchema,
    from: instantSchema,
    until: instantSchema.nullable(),
    reviewOn: localDateSchema.describe('Day on which somebody asks whether it is still needed.'),
  })
  .meta({ id: 'KeyException' });
export type KeyException = z.infer<typeof keyExceptionSchema>;

export const grantKeyExceptionSchema = z.strictObject({
  id: idSchema.optional(),
  siteId: idSchema.nullable().default(null).describe('For everybody of this site. Either a site or a person is named.'),
  personId: idSchema.nullable().default(null),
  label: nameSchema,
  reason: reasonSchema,
  from: instantSchema.optional().describe('Now when left out.'),
  reviewOn: localDateSchema,
});
export type GrantKeyException = z.infer<typeof grantKeyExceptionSchema>;

export const endKeyExceptionSchema = z.strictObject({ until: instantSchema.optional().describe('Now when left out.') });
export type EndKeyException = z.infer<typeof endKeyExceptionSchema>;

export const keyExceptionListQuerySchema = pageQuerySchema;
export const keyExceptionPageSchema = pageSchema(keyExceptionSchema);
