import { z } from 'zod';
import { codeSchema, currencySchema, idSchema, localDateSchema, nameSchema } from './format';
import { moneySchema } from './money';
import { ageBucketSchema } from './site-account';

export const ageingQuerySchema = z.strictObject({
  on: localDateSchema.describe('What was open at the end of this day, by the dates of the books.'),
});
export type AgeingQuery = z.infer<typeof ageingQuerySchema>;

const sides = {
  currency: currencySchema,
  toPayee: moneySchema.describe('What the operator owes, of whatever age; zero or above.'),
  fromPayee: moneySchema.describe('What is owed to the operator, of whatever age; zero or below. The two are never set against each other.'),
  ageing: z.array(ageBucketSchema).describe('By days since it fell due, the youngest first.'),
};

export const agedAccountSchema = z
  .strictObject({
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    agreementId: idSchema,
    agreementCode: codeSchema,
    partyId: idSchema,
    partyName: nameSchema,
    oldestOn: localDateSchema.describe('Day from which its oldest open item ages.'),
    ...sides,
  })
  .meta({ id: 'AgedAccount' });
export type AgedAccount = z.infer<typeof agedAccountSchema>;

export const ageingSchema = z
  .strictObject({
    on: localDateSchema,
    totals: z.array(z.strictObject(sides)).describe('Of all accounts, one for each currency.'),
    accounts: z.array(agedAccountSchema).describe('Each payee under an agreement with something open, whose oldest item is the oldest first.'),
    hasMore: z.boolean().describe('There are more than are listed; the totals and the file have them all.'),
  })
  .meta({ id: 'Ageing' });
export type Ageing = z.infer<typeof ageingSchema>;
