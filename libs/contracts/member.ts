import { z } from 'zod';
import { roleSchema } from './account';
import { emailSchema, idSchema, instantSchema, revisionSchema } from './format';

const sitesSchema = z.array(idSchema).max(500).describe('Sites that a site manager is bound to; empty for every other role.');

export const memberSchema = z
  .strictObject({
    id: idSchema.describe('Id of the user account.'),
    email: z.string(),
    name: z.string(),
    role: roleSchema,
    personId: idSchema.nullable(),
    siteIds: sitesSchema,
    hasSecondFactor: z.boolean(),
    joinedAt: instantSchema,
    revision: revisionSchema,
  })
  .meta({ id: 'Member' });
export type Member = z.infer<typeof memberSchema>;

export const memberListSchema = z.strictObject({ items: z.array(memberSchema) });

export const changeMemberSchema = z.strictObject({
  role: roleSchema,
  personId: idSchema.nullable().default(null),
  siteIds: sitesSchema.default([]),
});
export type ChangeMember = z.infer<typeof changeMemberSchema>;

export const inviteSchema = z.strictObject({ id: idSchema.optional(), email: emailSchema, ...changeMemberSchema.shape });
export type Invite = z.infer<typeof inviteSchema>;

export const openLinkSchema = z
  .strictObject({
    id: idSchema,
    kind: z.enum(['invitation', 'new-password']),
    email: z.string(),
    role: roleSchema.nullable(),
    createdBy: z.string(),
    createdAt: instantSchema,
    expiresAt: instantSchema,
  })
  .meta({ id: 'OpenLink' });
export type OpenLink = z.infer<typeof openLinkSchema>;

export const openLinkListSchema = z.strictObject({ items: z.array(openLinkSchema) });

export const createdLinkSchema = z
  .strictObject({
    id: idSchema,
    email: z.string(),
    address: z.string().nullable().describe('The link, to hand to the person. Shown this one time; null when the request is repeated.'),
    expiresAt: instantSchema,
  })
  .meta({ id: 'CreatedLink' });
export type CreatedLink = z.infer<typeof createdLinkSchema>;
