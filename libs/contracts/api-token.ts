import { z } from 'zod';
import { roles, scopes } from '#domain/permissions/role';
import { idSchema, instantSchema, nameSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

export const scopeSchema = z.enum(scopes).describe('What the token may be used for, within its role.');
/** A site manager is bound to sites, and a token is bound to none. */
export const tokenRoleSchema = z.enum(roles).exclude(['site-manager']);

export const apiTokenSchema = z
  .strictObject({
    id: idSchema,
    name: nameSchema,
    role: tokenRoleSchema,
    scopes: z.array(scopeSchema),
    hint: z.string().describe('First characters of the token, to tell tokens apart.'),
    createdBy: z.string(),
    createdAt: instantSchema,
    expiresAt: instantSchema,
    lastUsedAt: instantSchema.nullable().describe('To the minute.'),
    revokedAt: instantSchema.nullable(),
  })
  .meta({ id: 'ApiToken' });
export type ApiToken = z.infer<typeof apiTokenSchema>;

export const createApiTokenSchema = z.strictObject({
  id: idSchema.optional(),
  name: nameSchema.describe('What it is for, so that somebody dares to revoke it later.'),
  role: tokenRoleSchema,
  scopes: z.array(scopeSchema).min(1).refine((list) => new Set(list).size === list.length, 'names a scope twice'),
  expiresAt: instantSchema.describe('At most 400 days ahead.'),
});
export type CreateApiToken = z.infer<typeof createApiTokenSchema>;

export const createdApiTokenSchema = apiTokenSchema
  .extend({ secret: z.string().nullable().describe('The token itself, shown this one time; null when the request is repeated.') })
  .meta({ id: 'CreatedApiToken' });
export type CreatedApiToken = z.infer<typeof createdApiTokenSchema>;

export const apiTokenListQuerySchema = pageQuerySchema;
export const apiTokenPageSchema = pageSchema(apiTokenSchema);
