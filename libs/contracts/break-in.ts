import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, reasonSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

/** Cash that was stolen out of a box. Terms say who bears it, the tax rule whether it is taxed. */
export const breakInSchema = z
  .strictObject({
    id: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    placementId: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    happenedOn: localDateSchema,
    accountingDate: localDateSchema.describe('Day to which it is booked; it decides period, terms and tax.'),
    accountingReason: z.string().nullable(),
    amount: moneySchema.describe('The stolen cash as the meters imply it. Zero: corrected, it took nothing.'),
    note: z.string().describe('What happened.'),
    replacesId: idSchema.nullable().describe('The record that this one corrects.'),
    replacedById: idSchema.nullable().describe('The correction that stands in its place; null for one that stands.'),
    reason: z.string().nullable(),
    withoutSecondPerson: z.boolean().describe('Corrected by the one who had recorded it, in a business of one.'),
    recordedAt: instantSchema,
    recordedBy: z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.'),
  })
  .meta({ id: 'BreakIn' });
export type BreakIn = z.infer<typeof breakInSchema>;

export const recordBreakInSchema = z
  .strictObject({
    id: idSchema.optional(),
    machineTag: codeSchema.optional(),
    placementId: idSchema.optional().describe('Instead of the tag; tells the two sites apart on the day of a move.'),
    happenedOn: localDateSchema.describe('Local day on which it was found.'),
    accountingDate: localDateSchema.optional().describe('Day to which it is booked, when that is another one.'),
    accountingReason: reasonSchema.optional(),
    amount: moneyNotNegativeSchema.describe('The stolen cash as the meters imply it.'),
    note: reasonSchema.describe('What happened, for people who read the history.'),
  })
  .refine(({ machineTag, placementId }) => (machineTag === undefined) !== (placementId === undefined), {
    path: ['machineTag'],
    message: 'Name either the machine or the placement.',
    params: { code: 'one-of-two' },
  })
  .refine(({ amount }) => /[1-9]/.test(amount.amount), { path: ['amount', 'amount'], message: 'must be above zero', params: { code: 'not-positive' } });
export type RecordBreakIn = z.infer<typeof recordBreakInSchema>;

export const correctBreakInSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new record.'),
  amount: moneyNotNegativeSchema.describe('Zero takes it back.'),
  reason: reasonSchema,
});
export type CorrectBreakIn = z.infer<typeof correctBreakInSchema>;

export const breakInListQuerySchema = pageQuerySchema.extend({
  siteId: idSchema.optional(),
  machineId: idSchema.optional(),
  from: localDateSchema.optional().describe('Only those booked to this day or later.'),
  before: localDateSchema.optional().describe('Only those booked to a day before this one.'),
});
export type BreakInListQuery = z.infer<typeof breakInListQuerySchema>;
export const breakInPageSchema = pageSchema(breakInSchema);
