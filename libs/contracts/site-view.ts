import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { settlementPaymentSchema } from './month-end';

/** What a site manager sees first: the share so far and the statements of their own sites. */
export const siteViewSchema = z
  .strictObject({
    sites: z.array(
      z.strictObject({
        siteId: idSchema,
        siteCode: codeSchema,
        siteName: nameSchema,
        soFar: z
          .strictObject({
            startsOn: localDateSchema,
            endsBefore: localDateSchema,
            takings: moneySchema.describe('Of accepted collections.'),
            siteShare: moneySchema.describe('What the share would be if nothing more came in.'),
            collectedUntil: localDateSchema.nullable().describe('Day of the last accepted collection of the period.'),
          })
          .nullable()
          .describe('The period that goes on; null where no terms are in force, or what was recorded cannot be settled.'),
        settlements: z.array(
          z.strictObject({
            id: idSchema,
            startsOn: localDateSchema,
            endsBefore: localDateSchema,
            number: z.string().nullable(),
            siteShare: moneySchema,
            payable: moneySchema,
            payment: settlementPaymentSchema,
            question: z
              .strictObject({ state: z.enum(['open', 'answered']), at: instantSchema.describe('When it was asked, or answered.') })
              .nullable()
              .describe('The last question about it, and whether the office has answered; null where nobody asked.'),
            statementAvailable: z.boolean(),
            isNew: z.boolean().describe('Whether who asks has not opened its statement yet.'),
          }),
        ),
      }),
    ),
  })
  .meta({ id: 'SiteView' });
export type SiteView = z.infer<typeof siteViewSchema>;
