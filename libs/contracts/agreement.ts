import { z } from 'zod';
import { searchSchema } from './address';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, revisionSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';
import { fieldErrorSchema } from './problem';
import { retroactiveFields } from './tax';
import { termsSchema } from './terms';

/** Agreements are named after sites and years, so their codes may be longer than others. */
const agreementCodeSchema = z
  .string()
  .regex(/^[A-Z0-9][A-Z0-9-]{0,29}$/, 'must be 1 to 30 capital letters, digits or hyphens, beginning with a letter or digit')
  .describe('1 to 30 capital letters, digits or hyphens, beginning with a letter or digit.');

const otherPartyIdsSchema = z
  .array(idSchema)
  .max(18)
  .refine((ids) => new Set(ids).size === ids.length, 'names a party twice')
  .describe('Parties beside operator and site that the terms may name.');

const endedOnSchema = localDateSchema.nullable().describe('First day on which it no longer holds, or null.');

/** What operator and site have agreed on, from one day to another. Its terms are dated versions. */
export const agreementSchema = z
  .strictObject({
    id: idSchema,
    code: agreementCodeSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    partyId: idSchema.describe('The site\'s owner of that time: the party that the terms call `site`.'),
    partyName: nameSchema,
    otherPartyIds: otherPartyIdsSchema,
    startedOn: localDateSchema,
    endedOn: endedOnSchema,
    revision: revisionSchema,
  })
  .meta({ id: 'Agreement' });
export type Agreement = z.infer<typeof agreementSchema>;

export const createAgreementSchema = z.strictObject({
  id: idSchema.optional(),
  code: agreementCodeSchema,
  siteId: idSchema,
  partyId: idSchema,
  otherPartyIds: otherPartyIdsSchema.default([]),
  startedOn: localDateSchema,
  terms: termsSchema,
});
export type CreateAgreement = z.infer<typeof createAgreementSchema>;

/** Site, owner and first day stay: another owner, or another beginning, is another agreement. */
export const changeAgreementSchema = z.strictObject({ code: agreementCodeSchema, otherPartyIds: otherPartyIdsSchema, endedOn: endedOnSchema }).partial();
export type ChangeAgreement = z.infer<typeof changeAgreementSchema>;

export const endAgreementSchema = z.strictObject({ endedOn: localDateSchema.describe('First day on which it no longer holds.') });
export type EndAgreement = z.infer<typeof endAgreementSchema>;

export const agreementListQuerySchema = pageQuerySchema.extend({
  search: searchSchema.optional(),
  siteId: idSchema.optional(),
  partyId: idSchema.optional(),
  on: localDateSchema.optional().describe('Only agreements that hold on this day.'),
});
export type AgreementListQuery = z.infer<typeof agreementListQuerySchema>;
export const agreementPageSchema = pageSchema(agreementSchema);

/** Terms from a day on, until the next version or the end of the agreement. It is never edited. */
export const agreementVersionSchema = z
  .strictObject({
    id: idSchema,
    agreementId: idSchema,
    effectiveFrom: localDateSchema,
    terms: termsSchema,
    sentences: z.array(z.string()).describe('The terms in plain words.'),
    reason: z.string(),
    recordedAt: instantSchema,
    withdrawnAt: instantSchema.nullable().describe('Since when another version stands in its place, or null.'),
  })
  .meta({ id: 'AgreementVersion' });
export type AgreementVersion = z.infer<typeof agreementVersionSchema>;

export const createVersionSchema = z.strictObject({
  id: idSchema.optional(),
  effectiveFrom: localDateSchema,
  terms: termsSchema,
  replaces: idSchema.optional().describe('Version that this one corrects. It is withdrawn and stays legible.'),
  ...retroactiveFields,
});
export type CreateVersion = z.infer<typeof createVersionSchema>;

export const versionListQuerySchema = pageQuerySchema.extend({
  withdrawn: z.enum(['yes', 'no']).default('no').describe('Whether withdrawn versions are listed, too.'),
});
export type VersionListQuery = z.infer<typeof versionListQuerySchema>;
export const versionPageSchema = pageSchema(agreementVersionSchema);

export const checkTermsSchema = z.strictObject({
  terms: termsSchema,
  siteId: idSchema.optional().describe('Site for which they are meant, where there is no agreement yet.'),
  agreementId: idSchema.optional().describe('Agreement for which they are meant.'),
  effectiveFrom: localDateSchema.optional().describe('First day on which they shall hold, today if left out: they must keep to the law of that day.'),
});
export type CheckTerms = z.infer<typeof checkTermsSchema>;

export const checkedTermsSchema = z.strictObject({
  problems: z.array(fieldErrorSchema).describe('Why the terms would be refused; empty if they would not be.'),
  sentences: z.array(z.string()).describe('The terms in plain words; empty while there are problems.'),
});
export type CheckedTerms = z.infer<typeof checkedTermsSchema>;
