import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';

export const untoldWhySchema = z
  .enum(['not-recorded', 'left-unread', 'moved-unread', 'first-reading', 'price-unread', 'board-unread', 'reset-or-wrong', 'rollover-or-reset', 'above-ceiling'])
  .describe(
    '`not-recorded`: nobody records the meters of the machine; `left-unread`: the machine left the site, and a meter was not read as it did; `moved-unread`: nor as it came to the next one, so that one figure holds what both took; `first-reading`: read for the first time at this site; `price-unread`: a unit came to be worth something else, and nobody read the meter then; `board-unread`: its board was opened or cleared, and nobody read it then; `reset-or-wrong`: a reading cannot follow the one before; `rollover-or-reset`: a meter went down, has too few digits to tell why, and nobody said so yet; `above-ceiling`: a reading says more than the machine could earn.',
  );
export type UntoldWhy = z.infer<typeof untoldWhySchema>;

export const missingReadingSchema = z.strictObject({
  occasion: z.enum(['removal', 'placement', 'price-change']),
  siteCode: codeSchema.nullable().describe('Null for a change of price.'),
  day: localDateSchema.describe('At the site of the box.'),
  at: instantSchema.nullable().describe('Of a change of price the moment: only a reading of that serves. Else null: any of that day does.'),
  meters: z.array(nameSchema).describe('Labels of the meters that were not read.'),
});
export type MissingReading = z.infer<typeof missingReadingSchema>;

const boxFields = {
  collectionId: idSchema,
  siteCode: codeSchema,
  localDate: localDateSchema,
  machineId: idSchema,
  machineTag: codeSchema,
  why: z.array(untoldWhySchema).min(1),
  missing: z.array(missingReadingSchema).describe('With these readings the meters tell it after all.'),
};

/** A box of which the meters cannot tell what they imply, under terms that go by them. It holds no figure. */
export const untoldBoxSchema = z.strictObject(boxFields).meta({ id: 'UntoldBox' });
export type UntoldBox = z.infer<typeof untoldBoxSchema>;

/** The same with what the amount has to cover. */
export const askedAmountSchema = z
  .strictObject({
    ...boxFields,
    since: z
      .strictObject({
        readings: z.array(z.strictObject({ meterLabel: nameSchema, boardOut: nameSchema.nullable().describe('The board of the meter, where it came out of the machine before the box was emptied; null where it was in it.'), value: z.string().describe('As the meter showed it.'), at: instantSchema, day: localDateSchema })).describe('Of each meter of the box the reading from which the amount counts: of the box before, as the machine came or as its board was fitted.'),
        placedOn: localDateSchema.nullable().describe('The machine came here after such a reading: what it counted before is not part of the amount.'),
        boxes: z.array(z.strictObject({ collectionId: idSchema, localDate: localDateSchema })).describe('Boxes emptied here since, of which nobody said what the meters imply: the amount covers them as well.'),
        laterMeters: z.array(nameSchema).describe('Meters that were not read with this box: what they counted comes with their next reading, and is not part of the amount.'),
      })
      .nullable()
      .describe('What the amount covers. Null where a `meteredAmount` would be, and for a machine whose meters nobody records.'),
  })
  .meta({ id: 'AskedAmount' });
export type AskedAmount = z.infer<typeof askedAmountSchema>;
