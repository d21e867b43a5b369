import { z } from 'zod';
import { addressSchema } from './address';
import { codeSchema, countrySchema, currencySchema, idSchema, instantSchema, nameSchema } from './format';
import { moneySchema } from './money';

export const yearEndQuerySchema = z.strictObject({ year: z.coerce.number().int().min(1955).max(2199).describe('Calendar year of payment.') });
export type YearEndQuery = z.infer<typeof yearEndQuerySchema>;

export const yearEndPayeeSchema = z
  .strictObject({
    partyId: idSchema,
    partyCode: codeSchema,
    partyName: nameSchema,
    address: addressSchema,
    currency: currencySchema,
    rents: moneySchema.describe('Share and charges paid under a lease of machines or space: by transfer and in cash, kept, handed over or set off.'),
    partnership: moneySchema.describe('The same under a joint venture: no rents; the partnership reports it.'),
    passedOn: moneySchema.describe('Refunds that the payee had laid out and tax that it files: no income of the payee.'),
    notSettled: moneySchema.describe('Paid on account, or kept, and settled by no issued settlement yet.'),
    threshold: moneySchema.nullable().describe('Amount of the year from which rents are reported; null where it is not known here.'),
    reportable: z.boolean().nullable().describe('Whether rents reach it; null where it is not known.'),
    taxpayerNumber: z.string().nullable().describe('Last characters of the taxpayer number; null: missing.'),
  })
  .meta({ id: 'YearEndPayee' });
export type YearEndPayee = z.infer<typeof yearEndPayeeSchema>;

export const yearEndSchema = z
  .strictObject({
    year: z.int(),
    country: countrySchema,
    thresholdSource: z.string().nullable(),
    cautions: z.array(z.string()),
    payees: z.array(yearEndPayeeSchema).describe('Everybody to whom something was paid in the year, by code.'),
    missingNumbers: z.int().describe('Payees whose rents are to be reported and whose taxpayer number is missing.'),
  })
  .meta({ id: 'YearEnd' });
export type YearEnd = z.infer<typeof yearEndSchema>;

export const recordTaxpayerNumberSchema = z.strictObject({
  id: idSchema.optional(),
  partyId: idSchema,
  number: z.string().trim().regex(/^(?=(?:-?[A-Za-z0-9]){4,20}$)[A-Za-z0-9-]+$/, 'must be 4 to 20 letters or digits, with single hyphens between them'),
});
export type RecordTaxpayerNumber = z.infer<typeof recordTaxpayerNumberSchema>;

export const taxpayerNumberSchema = z
  .strictObject({ id: idSchema, partyId: idSchema, ending: z.string(), recordedAt: instantSchema, recordedBy: z.string() })
  .meta({ id: 'TaxpayerNumber' });
export type TaxpayerNumber = z.infer<typeof taxpayerNumberSchema>;
