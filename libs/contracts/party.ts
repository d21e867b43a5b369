import { z } from 'zod';
import { addressSchema, searchSchema } from './address';
import { codeSchema, emailSchema, idSchema, nameSchema, revisionSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** Language and country of what is sent to somebody, BCP 47. */
export const localeSchema = z
  .string()
  .max(35)
  .refine(isLocale, 'is not a language tag')
  .describe('Language and country of statements, BCP 47: en-US, de-DE, es-MX. They are written in English, German and Spanish; for any other language in English.');

const partyEmailSchema = emailSchema.nullable().describe('Where their statements are sent. Null: nowhere.');

/** Whoever can be owed money under an agreement: the owner of a site, or a third such as a landlord. */
export const partySchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    name: nameSchema,
    address: addressSchema,
    locale: localeSchema,
    email: partyEmailSchema,
    revision: revisionSchema,
  })
  .meta({ id: 'Party' });
export type Party = z.infer<typeof partySchema>;

const fields = { code: codeSchema, name: nameSchema, address: addressSchema, locale: localeSchema, email: partyEmailSchema };

export const createPartySchema = z.strictObject({ id: idSchema.optional(), ...fields, address: addressSchema.default([]), email: partyEmailSchema.optional() });
export type CreateParty = z.infer<typeof createPartySchema>;

export const changePartySchema = z.strictObject(fields).partial();
export type ChangeParty = z.infer<typeof changePartySchema>;

export const partyListQuerySchema = pageQuerySchema.extend({ search: searchSchema.optional() });
export type PartyListQuery = z.infer<typeof partyListQuerySchema>;

export const partyPageSchema = pageSchema(partySchema);

function isLocale(text: string): boolean {
  try {
    // A tag may be well formed and still name no language that anybody writes numbers in.
    return Intl.getCanonicalLocales(text)[0] === text && Intl.NumberFormat.supportedLocalesOf(text).length === 1;
  } catch {
    return false;
  }
}
