import { z } from 'zod';
import { addressSchema, searchSchema } from './address';
import { codeSchema, emailSchema, idSchema, instantSchema, localDateSchema, nameSchema, revisionSchema } from './format';
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
    erasedAt: instantSchema.nullable().describe('When who they were was erased. Whoever records their name again takes that back.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Party' });
export type Party = z.infer<typeof partySchema>;

const fields = { code: codeSchema, name: nameSchema, address: addressSchema, locale: localeSchema, email: partyEmailSchema };

export const createPartySchema = z.strictObject({ id: idSchema.optional(), ...fields, address: addressSchema.default([]), email: partyEmailSchema.optional() });
export type CreateParty = z.infer<typeof createPartySchema>;

export const changePartySchema = z.strictObject(fields).partial();
export type ChangeParty = z.infer<typeof changePartySchema>;

/** Whether who a payee was may be erased now: nothing in the way, no hold, and the time over for which the law asks to keep it. */
export const partyErasureSchema = z
  .strictObject({
    inTheWay: z.array(
      z.strictObject({
        kind: z
          .enum(['agreement', 'unissued', 'late-change', 'open-item', 'advance', 'on-account', 'payment-run'])
          .describe('`agreement`: one runs; `unissued`: a settlement is not issued; `late-change`: a change after issue is not settled; `open-item`: something is to be paid; `advance`: one is open; `on-account`: a payment is not set off; `payment-run`: one is under way.'),
        which: z.string().describe('Code of the agreement, number of the statement, or day.'),
      }),
    ),
    keptUntil: localDateSchema.nullable().describe('The last day for which the law asks to keep it. Null: that is over.'),
    source: z.string().nullable().describe('Paragraphs of the law of the country. Null: none is known, and the longest time of the known ones stands in.'),
    isHeld: z.boolean().describe('A hold stands: nobody\'s data is erased.'),
  })
  .meta({ id: 'PartyErasure' });
export type PartyErasure = z.infer<typeof partyErasureSchema>;

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
