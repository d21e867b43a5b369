import { z } from 'zod';
import { countrySchema, currencySchema, emailSchema, idSchema, nameSchema, revisionSchema, timeZoneSchema } from './format';

/** The route operator itself: the tenant. */
const localeSchema = z.string().regex(/^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$/, 'must name a language, and a region if need be, such as en-US').max(35).describe('Language and region in which the office reads terms and files, BCP 47: en-US. A statement has those of the party for which it is.');
const paperSchema = z.enum(['A4', 'Letter']);
const verificationAddressSchema = z
  .string()
  .max(150)
  .regex(/^https?:\/\/[!-~]+$/, 'must be an address that begins with https:// or http://')
  .nullable()
  .describe('Where a receiver checks statements, such as https://ledger.example/verifier.html: printed on each as a code that opens it. Null: no code.');
const statementMailsSchema = z.enum(['when-asked', 'when-issued']).describe('When statements go out by mail, to payees with an address and to the people of their sites: when somebody says so, or as soon as they are issued.');
const paymentDaysSchema = z.int().min(0).max(365).nullable().describe('Within how many days after issue statements are paid: each says by which day. Null: they name no day.');
const statementsStampedSchema = z.boolean().describe('Whether the signature of each statement carries a time stamp of the authority that the server asks (RFC 3161). Statements then wait for it, 24 hours at most.');
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
    verificationAddress: verificationAddressSchema,
    statementMails: statementMailsSchema,
    paymentDays: paymentDaysSchema,
    statementsStamped: statementsStampedSchema,
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
    verificationAddress: verificationAddressSchema,
    statementMails: statementMailsSchema,
    paymentDays: paymentDaysSchema,
    statementsStamped: statementsStampedSchema,
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
