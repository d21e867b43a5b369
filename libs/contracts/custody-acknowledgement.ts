import { z } from 'zod';
import { custodyKindSchema, custodySideSchema, denialHowSchema } from './custody';
import { codeSchema, idSchema, instantSchema, nameSchema } from './format';
import { keyClassSchema } from './key-code';
import { keyHolderSchema } from './key-whereabouts';

/** One side of an event confirms, signed in, that it gave or received; or says that it did not. */
export const acknowledgeCustodySchema = z.strictObject({ side: custodySideSchema });
export type AcknowledgeCustody = z.infer<typeof acknowledgeCustodySchema>;

const speakerSchema = idSchema.optional().describe('Who speaks for the side. Left out, the person who gave or received; a store or a named place needs somebody who answers for it.');

export const createCustodyLinkSchema = z.strictObject({ id: idSchema.optional(), side: custodySideSchema, personId: speakerSchema });
export type CreateCustodyLink = z.infer<typeof createCustodyLinkSchema>;

export const custodyLinkSchema = z
  .strictObject({
    id: idSchema,
    side: custodySideSchema,
    personId: idSchema,
    address: z.string().nullable().describe('The link, to hand to the person. Shown this one time; null when the request is repeated.'),
    expiresAt: instantSchema,
  })
  .meta({ id: 'CustodyLink' });
export type CustodyLink = z.infer<typeof custodyLinkSchema>;

const MOST_NUMBERS = 3000;
export const strokesSchema = z
  .array(z.array(z.int().min(0).max(1000)).min(4).max(1600).refine((numbers) => numbers.length % 2 === 0, 'must be pairs of x and y'))
  .min(1)
  .max(60)
  .refine((strokes) => strokes.reduce((sum, { length }) => sum + length, 0) <= MOST_NUMBERS, `must not hold more than ${MOST_NUMBERS / 2} points`)
  .describe('Strokes of the pen: x and y of each point in turn, from 0 to 1000, y downwards.');

/** Drawn as points, which nothing can hide in, or typed. */
export const signatureSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('drawn'), strokes: strokesSchema }),
  z.strictObject({ kind: z.literal('typed'), text: nameSchema }),
]);
export type Signature = z.infer<typeof signatureSchema>;

/** Somebody of a site without an account signs for what they gave or received. */
export const signCustodySchema = z.strictObject({ side: custodySideSchema, personId: speakerSchema, name: nameSchema.describe('As the person writes it.'), signature: signatureSchema });
export type SignCustody = z.infer<typeof signCustodySchema>;

const secretSchema = z.string().min(1).max(200).describe('What stands behind the # of the link.');
export const custodySecretSchema = z.strictObject({ secret: secretSchema });
export type CustodySecret = z.infer<typeof custodySecretSchema>;

/** What somebody confirms, or denies, who holds a link: no more than they were there for. */
export const custodyConfirmationSchema = z
  .strictObject({
    operatorName: z.string(),
    personName: z.string(),
    side: custodySideSchema,
    says: custodyKindSchema,
    happenedAt: instantSchema,
    dueBackAt: instantSchema.nullable(),
    fromName: z.string(),
    toName: z.string(),
    copies: z.array(z.strictObject({ number: codeSchema, class: keyClassSchema })),
    confirmedAt: instantSchema.nullable().describe('Null until it is confirmed.'),
    deniedAt: instantSchema.nullable().describe('When it was said for this side that it was not so; it can be confirmed all the same.'),
    deniedHow: denialHowSchema.nullable(),
  })
  .meta({ id: 'CustodyConfirmation' });
export type CustodyConfirmation = z.infer<typeof custodyConfirmationSchema>;

/** What waits for the one who asks: that they confirm that they gave or received. */
export const custodyToConfirmSchema = z
  .strictObject({
    items: z
      .array(
        z.strictObject({
          eventId: idSchema,
          side: custodySideSchema.describe('Which side of it is yours.'),
          says: custodyKindSchema,
          happenedAt: instantSchema,
          acknowledgeBy: instantSchema,
          late: z.boolean(),
          deniedAt: instantSchema.nullable().describe('When it was said for your side that it was not so; it can be confirmed all the same.'),
          deniedHow: denialHowSchema.nullable(),
          dueBackAt: instantSchema.nullable(),
          from: keyHolderSchema.nullable(),
          to: keyHolderSchema.nullable(),
          copies: z.array(z.strictObject({ number: codeSchema, class: keyClassSchema })),
        }),
      )
      .describe('The most urgent first.'),
  })
  .meta({ id: 'CustodyToConfirm' });
export type CustodyToConfirm = z.infer<typeof custodyToConfirmSchema>;
