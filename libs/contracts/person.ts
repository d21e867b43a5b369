import { z } from 'zod';
import { searchSchema } from './address';
import { codeSchema, emailSchema, idSchema, localDateSchema, nameSchema, revisionSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

const employedBySchema = z.enum(['operator', 'site']).describe('Who employs the person. It decides which class of key they may be given.');

/** Somebody who works for the operator, or for one site. */
export const personSchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    name: nameSchema,
    employedBy: employedBySchema,
    siteId: idSchema.nullable().describe('The site that employs them, or null.'),
    email: emailSchema.nullable(),
    startedOn: localDateSchema,
    leftOn: localDateSchema.nullable().describe('Last day of work, or null.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Person' });
export type Person = z.infer<typeof personSchema>;

export const createPersonSchema = z
  .strictObject({
    id: idSchema.optional(),
    code: codeSchema,
    name: nameSchema,
    employedBy: employedBySchema,
    siteId: idSchema.nullable().default(null),
    email: emailSchema.nullable().default(null),
    startedOn: localDateSchema,
  })
  .superRefine((person, context) => {
    if ((person.employedBy === 'site') === (person.siteId !== null)) return;
    const message = person.siteId === null ? 'Name the site that employs the person.' : 'Somebody employed by the operator belongs to no site.';
    context.addIssue({ code: 'custom', path: ['siteId'], params: { code: 'does-not-fit-employer' }, message });
  });
export type CreatePerson = z.infer<typeof createPersonSchema>;

/** Who employs a person stays: somebody who changes sides leaves and begins anew, so that old custody reads as it was. */
export const changePersonSchema = z
  .strictObject({
    code: codeSchema,
    name: nameSchema,
    email: emailSchema.nullable(),
    startedOn: localDateSchema,
    leftOn: localDateSchema.nullable(),
  })
  .partial();
export type ChangePerson = z.infer<typeof changePersonSchema>;

export const personListQuerySchema = pageQuerySchema.extend({
  search: searchSchema.optional(),
  employedBy: employedBySchema.optional(),
  siteId: idSchema.optional(),
  workingOn: localDateSchema.optional().describe('Only people who work on this day.'),
});
export type PersonListQuery = z.infer<typeof personListQuerySchema>;

export const personPageSchema = pageSchema(personSchema);
