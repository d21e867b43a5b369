import { z } from 'zod';
import { countEntrySchema } from './collection';
import { codeSchema, idSchema, instantSchema, reasonSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { tallyLineSchema } from './tally';

/** What was counted at the machine, with its difference from what the counting room found. */
export const fieldCountSchema = z
  .strictObject({
    id: idSchema,
    placementId: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    part: z.int().min(1).max(99),
    coin: moneySchema,
    note: moneySchema,
    tally: z.array(tallyLineSchema).nullable(),
    countedBy: idSchema.describe('The person who counted.'),
    blind: z.boolean().describe('Somebody else collected and read the meters than counted. False where nobody is named as collector.'),
    replacesId: idSchema.nullable().describe('The count that this one corrects.'),
    replacedById: idSchema.nullable().describe('The correction that stands in its place; null for a count that stands.'),
    reason: z.string().nullable(),
    withoutSecondPerson: z.boolean().describe('Corrected by one who had a hand in it, in a business of one.'),
    recordedAt: instantSchema,
    recordedBy: z.string(),
  })
  .meta({ id: 'FieldCount' });
export type FieldCount = z.infer<typeof fieldCountSchema>;
export const fieldCountsSchema = z.strictObject({
  items: z.array(fieldCountSchema),
  boxes: z
    .array(z.strictObject({ placementId: idSchema, machineTag: codeSchema, roomLess: z.strictObject({ coin: moneySchema, note: moneySchema }).nullable() }))
    .describe('Box by box, all its parts together: by how much the counting room found less, coins and notes apart; below zero where it found more. Null where the room counted no such box.'),
});
export type FieldCounts = z.infer<typeof fieldCountsSchema>;

export const recordFieldCountsSchema = z.strictObject({
  countedBy: idSchema.describe('The person who counted at the machine.'),
  counts: z.array(countEntrySchema).min(1).max(500).describe('Coins and notes of each box. What else lay in it is counted in the room.'),
  scaleCheckId: idSchema.optional().describe('As with counts.'),
});
export type RecordFieldCounts = z.infer<typeof recordFieldCountsSchema>;

export const fieldCountsRecordedSchema = z.strictObject({ recorded: z.int().min(1) });
export type FieldCountsRecorded = z.infer<typeof fieldCountsRecordedSchema>;

export const correctFieldCountSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new count.'),
  fieldCountId: idSchema.describe('The count at the machine that is wrong. It stays legible.'),
  coin: moneyNotNegativeSchema,
  note: moneyNotNegativeSchema,
  reason: reasonSchema,
});
export type CorrectFieldCount = z.infer<typeof correctFieldCountSchema>;
