import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, reasonSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

/** What a machine's card reader reported for one local day, or for one collection where the terms say so. */
export const cashlessTakingSchema = z
  .strictObject({
    id: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    placementId: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    localDate: localDateSchema.describe('Day that it was reported for; for a report by collection the day of the visit.'),
    collectionId: idSchema.nullable().describe('The collection that it was reported with, where the terms book card takings by collection.'),
    accountingDate: localDateSchema.describe('Day to which it is booked; it decides period, terms and tax.'),
    gross: moneySchema,
    refunded: moneySchema.describe('Card refunds and charge-backs.'),
    replacesId: idSchema.nullable().describe('The report that this one corrects.'),
    replacedById: idSchema.nullable().describe('The correction that stands in its place; null for one that stands.'),
    reason: z.string().nullable(),
    withoutSecondPerson: z.boolean().describe('Corrected by the one who had recorded it, in a business of one.'),
    recordedAt: instantSchema,
    recordedBy: z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.'),
  })
  .meta({ id: 'CashlessTaking' });
export type CashlessTaking = z.infer<typeof cashlessTakingSchema>;

const oneOfTwo = (one: string, message: string) => ({ path: [one], message, params: { code: 'one-of-two' } });

const cashlessEntrySchema = z
  .strictObject({
    id: idSchema.describe('Made by the client: sent again, the same report is recognised by it.'),
    machineTag: codeSchema.optional(),
    placementId: idSchema.optional().describe('Instead of the tag; tells the two sites apart on the day of a move.'),
    localDate: localDateSchema.optional().describe('The local day that the reader reported.'),
    collectionId: idSchema.optional().describe('Instead of the day, where the terms book card takings by collection.'),
    gross: moneyNotNegativeSchema,
    refunded: moneyNotNegativeSchema.optional().describe('Card refunds and charge-backs, as an amount above zero; none when left out.'),
  })
  .refine(({ machineTag, placementId }) => (machineTag === undefined) !== (placementId === undefined), oneOfTwo('machineTag', 'Name either the machine or the placement.'))
  .refine(({ localDate, collectionId }) => (localDate === undefined) !== (collectionId === undefined), oneOfTwo('localDate', 'Name either the day or the collection.'));
export type CashlessEntry = z.infer<typeof cashlessEntrySchema>;

export const recordCashlessSchema = z.strictObject({ reports: z.array(cashlessEntrySchema).min(1).max(500) });
export type RecordCashless = z.infer<typeof recordCashlessSchema>;

export const recordedCashlessSchema = z.strictObject({
  recorded: z.int().min(0),
  known: z.int().min(0).describe('Reports that had been recorded before, under the same ids and with the same figures.'),
});
export type RecordedCashless = z.infer<typeof recordedCashlessSchema>;

export const cashlessFileQuerySchema = z.strictObject({
  decimalMark: z.enum(['.', ',']).optional().describe("Decimal mark of the amounts; the operator's setting when left out."),
});

export const correctCashlessSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new report.'),
  gross: moneyNotNegativeSchema,
  refunded: moneyNotNegativeSchema,
  reason: reasonSchema,
});
export type CorrectCashless = z.infer<typeof correctCashlessSchema>;

export const cashlessListQuerySchema = pageQuerySchema.extend({
  siteId: idSchema.optional(),
  machineId: idSchema.optional(),
  from: localDateSchema.optional().describe('Only those booked to this day or later.'),
  before: localDateSchema.optional().describe('Only those booked to a day before this one.'),
});
export type CashlessListQuery = z.infer<typeof cashlessListQuerySchema>;
export const cashlessPageSchema = pageSchema(cashlessTakingSchema);
