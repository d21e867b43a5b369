import { z } from 'zod';
import { idSchema, instantSchema } from './format';

/** A text of the books that names somebody. */
export const textNamingPersonSchema = z
  .strictObject({
    reference: z.string().regex(/^[0-9a-f]{64}$/).describe('Names this text as it reads here: a text that was changed meanwhile has another.'),
    table: z.string().describe('What the text belongs to: refund_slip, payment, audit_entry ...'),
    column: z.string(),
    row: z.string(),
    text: z.string(),
    remaining: z.string().describe('What would be left of it.'),
    writtenAt: instantSchema.nullable().describe('When it was written; null where the record keeps no moment.'),
    about: z.array(z.string()).describe('Codes of what it is about: keys, machine, site, statement, party.'),
    tookPart: z.boolean().describe('The person took part in what the text is about: the name goes without being asked for. Of others, those go that are confirmed.'),
  })
  .meta({ id: 'TextNamingPerson' });
export type TextNamingPerson = z.infer<typeof textNamingPersonSchema>;

/** Whole, not by pages: it is looked through as a whole before anything is erased. */
export const textsNamingPersonSchema = z
  .strictObject({
    items: z.array(textNamingPersonSchema),
    openInvitations: z.array(z.strictObject({ email: z.string(), expiresAt: instantSchema })).describe('Invitations by which the person could get an account still: erasing withdraws them.'),
  })
  .meta({ id: 'TextsNamingPerson' });
export type TextsNamingPerson = z.infer<typeof textsNamingPersonSchema>;

export const erasePersonSchema = z
  .strictObject({
    confirmed: z
      .array(z.string().regex(/^[0-9a-f]{64}$/))
      .max(10_000)
      .describe('References of the texts in the list that mean this person though the person took no part; an empty list for none.'),
  })
  .meta({ id: 'ErasePerson' });
export type ErasePerson = z.infer<typeof erasePersonSchema>;

/** A person whose name, address and signatures were erased; what happened stays, by id. */
export const erasedPersonSchema = z
  .strictObject({ id: idSchema, signaturesErased: z.int().min(0), invitationsWithdrawn: z.int().min(0), textsErased: z.int().min(0).describe('Texts from which the name was taken; each has an entry in the evidence log.') })
  .meta({ id: 'ErasedPerson' });
export type ErasedPerson = z.infer<typeof erasedPersonSchema>;
