import { z } from 'zod';
import { countrySchema, currencySchema, emailSchema, idSchema, nameSchema, revisionSchema, timeZoneSchema } from './format';

/** The route operator itself: the tenant. */
const localeSchema = z.string().regex(/^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$/).max(35).describe('Language and region of statements and files, BCP 47: en-US.');
const paperSchema = z.enum(['A4', 'Letter']);
const addressLinesSchema = z.array(z.string().trim().min(1).max(100)).max(6);

export const operatorSchema = z
  .strictObject({
    id: idSchema,
    code: z.string(),
    name: nameSchema,
    country: countrySchema,
    currency: currencySchema.describe('Currency of the books, ISO 4217; it stays for good.'),
    locale: localeSchema,
    timeZone: timeZoneSchema.describe('Time zone of the office, IANA; each site has its own.'),
    paper: paperSchema,
    addressLines: addressLinesSchema,
    csvDecimal: z.enum(['point', 'comma']).describe('Decimal sign in files that come in and go out.'),
    secondFactorRequired: z.boolean().describe('Whether every user needs a second factor.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Operator' });
export type Operator = z.infer<typeof operatorSchema>;

export const changeOperatorSchema = z
  .strictObject({
    name: nameSchema,
    locale: localeSchema,
    timeZone: timeZoneSchema,
    paper: paperSchema,
    addressLines: addressLinesSchema,
    csvDecimal: z.enum(['point', 'comma']),
    secondFactorRequired: z.boolean(),
  })
  .partial();
export type ChangeOperator = z.infer<typeof changeOperatorSchema>;

/** What `npm run operator:create` is given. */
export const createOperatorSchema = z.strictObject({
  id: idSchema.optional(),
  code: z.string().regex(/^[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?$/, 'must be 1 to 40 small letters, digits or hyphens'),
  name: nameSchema,
  country: countrySchema,
  currency: currencySchema,
  timeZone: timeZoneSchema,
  locale: localeSchema.optional(),
  email: emailSchema,
});
export type CreateOperator = z.infer<typeof createOperatorSchema>;
