import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, nameSchema, reasonSchema, revisionSchema } from './format';
import { moneyNotNegativeSchema, moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

const tenderSchema = z.enum(['coin', 'note', 'plays', 'test-plays', 'refunds']).describe('What the meter counts; `refunds` is what the machine itself paid back.');
const occasionSchema = z.enum(['collection', 'placement', 'removal', 'price-change', 'board-access', 'board-fitted', 'board-removed', 'game-change', 'in-service', 'out-of-service']);
export const shownSchema = z
  .string()
  .regex(/^\d{1,12}$/, 'must be the 1 to 12 digits that the meter shows')
  .describe('What the meter shows, its leading zeros or not: `00123`.');
const actorSchema = z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.');

export const meterSchema = z
  .strictObject({
    id: idSchema,
    label: nameSchema,
    tender: tenderSchema,
    secondOf: idSchema.nullable().describe('The meter of the board whose cash it counts again, as a mechanical counter beside an electronic one does: in no sum, and held beside it. Null for every other.'),
    digits: z.int().min(3).max(12).nullable().describe('Null: an electronic counter of 32 bits.'),
    unitValue: moneySchema.describe('What one unit is worth now: the coin, or the price of a play.'),
    mostPerHour: z.int().min(1).describe('More units in an hour the machine cannot earn.'),
  })
  .meta({ id: 'Meter' });

export const counterBoardSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    label: nameSchema,
    fittedAt: instantSchema,
    removedAt: instantSchema.nullable().describe('Null: it is in the machine.'),
    meters: z.array(meterSchema),
  })
  .meta({ id: 'CounterBoard' });
export type CounterBoard = z.infer<typeof counterBoardSchema>;
export const counterBoardsSchema = z.strictObject({ items: z.array(counterBoardSchema) });
export type CounterBoards = z.infer<typeof counterBoardsSchema>;

/** A meter as it was read. `readAgain`: who read it looked a second time, and it is so. */
export const readingEntrySchema = z.strictObject({
  id: idSchema.optional(),
  meterId: idSchema,
  value: shownSchema,
  readAgain: z.boolean().default(false).describe('Who read it looked a second time, and it is so.'),
});
export type ReadingEntry = z.infer<typeof readingEntrySchema>;
const readingEntriesSchema = z.array(readingEntrySchema).max(50);

const notReadFields = {
  meterId: idSchema,
  why: z.enum(['display-dark', 'machine-off', 'meter-broken', 'not-reached', 'other']).describe('Why it was not read; `other` needs a note.'),
  note: reasonSchema.optional().describe('What it was, in the words of who stood there.'),
};
const saysWhat = ({ why, note }: { readonly why: string; readonly note?: string | undefined }): boolean => why !== 'other' || note !== undefined;
const saysNothing = { path: ['note'], message: 'Say what it was.', params: { code: 'missing' } };
/** A meter that was not read where it should have been. */
export const notReadEntrySchema = z.strictObject(notReadFields).refine(saysWhat, saysNothing);
export const notReadOfMachineSchema = z.strictObject({ machineId: idSchema, ...notReadFields }).refine(saysWhat, saysNothing);
export type NotReadEntry = z.infer<typeof notReadEntrySchema>;

const whyNotReadFields = { why: notReadFields.why, note: z.string().nullable(), recordedAt: instantSchema, recordedBy: actorSchema };
export const unreadMeterSchema = z
  .strictObject({
    meterId: idSchema,
    meterLabel: nameSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    said: z.strictObject(whyNotReadFields).nullable().describe('Why, as it was said last; null where nobody gave a reason.'),
    before: z.array(z.strictObject(whyNotReadFields)).describe('What had been said before that, the latest first.'),
  })
  .meta({ id: 'UnreadMeter' });
export type UnreadMeter = z.infer<typeof unreadMeterSchema>;
export const unreadMetersSchema = z.strictObject({ items: z.array(unreadMeterSchema) });
export type UnreadMeters = z.infer<typeof unreadMetersSchema>;
/** What was read of a machine's meters, or why not, with what happened to it. */
const metersReadFields = { readings: readingEntriesSchema.default([]), unread: z.array(notReadEntrySchema).max(50).default([]) };
export const metersReadSchema = z.strictObject({ readAt: instantSchema.optional().describe('On that day at the site; now when left out, on the day itself.'), ...metersReadFields });
export type MetersRead = z.infer<typeof metersReadSchema>;
/** The same around a change of the game: before and after. */
export const metersReadAroundSchema = z.strictObject({
  readAt: instantSchema.optional().describe('On that day at the site, or by the calendar of the office for a machine at none; now when left out, on the day itself.'),
  readings: z.array(readingEntrySchema.extend({ valueAfter: shownSchema.describe('What it showed after the change.') })).max(50).default([]),
  unread: metersReadFields.unread,
});
export type MetersReadAround = z.infer<typeof metersReadAroundSchema>;
const metersReadThenSchema = z.strictObject(metersReadFields);
export const sayWhyNotReadSchema = z.strictObject({ meters: z.array(notReadEntrySchema).min(1).max(50) });
export type SayWhyNotRead = z.infer<typeof sayWhyNotReadSchema>;

export const fitBoardSchema = z.strictObject({
  id: idSchema.optional(),
  label: nameSchema,
  fittedAt: instantSchema.optional().describe('Now when left out.'),
  meters: z
    .array(
      z.strictObject({
        id: idSchema.optional(),
        label: nameSchema,
        tender: tenderSchema,
        secondOfLabel: nameSchema.nullable().optional().describe('For a second counter: label of the meter of this board that counts the same, and from which the expected cash is taken. Null: it counts cash of its own; needed where a meter before it counts coins, notes or plays as well, so that none is expected twice.'),
        digits: z.int().min(3).max(12).nullable(),
        unitValue: moneyNotNegativeSchema,
        mostPerHour: z.int().min(1).max(1_000_000_000).describe('More units in an hour the machine cannot earn. Where it could earn as many as the meter shows between two readings, nothing tells a rollover from a reset: a fall waits for somebody to say which.'),
        value: shownSchema.describe('What it shows as the board is fitted.'),
      }),
    )
    .min(1)
    .max(20),
  replacedReadings: readingEntriesSchema.default([]).describe('Every meter of the board that comes out, as it does. Needed where there is one.'),
  readBy: idSchema.optional().describe('The person who read the meters.'),
});
export type FitBoard = z.infer<typeof fitBoardSchema>;

export const removeBoardSchema = z.strictObject({
  removedAt: instantSchema.optional().describe('Now when left out.'),
  readings: readingEntriesSchema.min(1).describe('Every meter of the board, as it comes out.'),
  readBy: idSchema.optional(),
});
export type RemoveBoard = z.infer<typeof removeBoardSchema>;

export const recordReadingsSchema = z.strictObject({
  happenedAt: instantSchema.optional().describe('Now when left out; of a collection always when that happened.'),
  occasion: z.enum(['collection', 'placement', 'removal', 'price-change', 'board-access', 'game-change', 'in-service', 'out-of-service']),
  collectionId: idSchema.optional().describe('The collection at which it was read. Needed for that occasion, and for no other.'),
  unread: z.array(notReadEntrySchema).max(50).default([]).describe('Why meters were not read. For no open board: there every meter is read. At a change of price nothing says then what was played at which, and the reading is asked for all the same.'),
  readings: z
    .array(readingEntrySchema.extend({ valueAfter: shownSchema.optional().describe('What it shows after the board was open or the game was changed. Needed for these occasions, and for no other.') }))
    .max(50)
    .default([]),
  newUnitValues: z
    .array(z.strictObject({ meterId: idSchema, unitValue: moneyNotNegativeSchema }))
    .max(50)
    .default([])
    .describe('What a unit is worth from this moment on. Needed for a price change that is not recorded yet, and for no other occasion. Alone it says that the price changed and nobody read the meters: they are to be entered, see /v1/meter-tasks, and a count across it raises a flag. Only the office changes the price of a meter without its reading.'),
  readBy: idSchema.optional().describe('The person who read the meters.'),
}).refine(({ readings, unread, newUnitValues }) => readings.length + unread.length + newUnitValues.length > 0, { path: ['readings'], message: 'Say what the meters showed, or why they were not read.', params: { code: 'missing' } });
export type RecordReadings = z.infer<typeof recordReadingsSchema>;
export const readingsRecordedSchema = z.strictObject({ recorded: z.int().min(0).describe('Readings; reasons are not among them.') });
export type ReadingsRecorded = z.infer<typeof readingsRecordedSchema>;

export const meterReadingSchema = z
  .strictObject({
    id: idSchema,
    meterId: idSchema,
    meterLabel: nameSchema,
    boardId: idSchema,
    happenedAt: instantSchema,
    phase: z.enum(['before', 'only', 'after']).describe('Two readings of one moment are those before and after a board was open.'),
    occasion: occasionSchema,
    collectionId: idSchema.nullable(),
    value: z.string().nullable().describe('As the meter shows it; null for a correction that took the reading back.'),
    readAgain: z.boolean(),
    passedEnd: z.boolean().describe('A second person says that the meter passed its last value since the reading before.'),
    readBy: idSchema.nullable(),
    interval: z
      .strictObject({
        kind: z.enum(['forward', 'rollover', 'board-open', 'reset-or-wrong', 'rollover-or-reset', 'above-ceiling']),
        units: z.string().nullable().describe('Null where it is not known. Of `above-ceiling` what the two values are apart, of which nothing counts.'),
        value: moneySchema.nullable(),
        acrossPlaces: z.boolean().describe('Begun at one place and ended at another: nobody read the meter as the machine left, so that it is known of neither what is its own.'),
        acrossOpening: z.boolean().describe('The board was opened or cleared in between, and nobody read the meter then: what was played is not known.'),
        acrossPrices: z.boolean().describe('What a unit is worth changed in between, and nobody read the meter then: its value is not known.'),
        inWorkshop: z.boolean().describe('Counted between two places, in the workshop or on the way: cash of no collection.'),
        sentence: z.string(),
      })
      .nullable()
      .describe('From the reading before it; null for a first reading and for one that was corrected.'),
    replacesId: idSchema.nullable(),
    replacedById: idSchema.nullable(),
    reason: z.string().nullable(),
    withoutSecondPerson: z.boolean(),
    recordedAt: instantSchema,
    recordedBy: actorSchema,
  })
  .meta({ id: 'MeterReading' });
export type MeterReading = z.infer<typeof meterReadingSchema>;
export const meterReadingsSchema = z.strictObject({ items: z.array(meterReadingSchema) });
export type MeterReadings = z.infer<typeof meterReadingsSchema>;
export const meterReadingsQuerySchema = z.strictObject({
  from: instantSchema.optional().describe('Only readings of this moment or later; the year before `before` when left out.'),
  before: instantSchema.optional().describe('Only readings before this moment; now when left out.'),
});
export type MeterReadingsQuery = z.infer<typeof meterReadingsQuerySchema>;

export const correctReadingSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new reading.'),
  value: shownSchema.nullable().describe('The same as before says that a second person looked at it and it stands; null takes the reading back.'),
  passedEnd: z.boolean().optional().describe('The meter passed its last value since the reading before, and was not set back. Decides only where nothing else tells (`rollover-or-reset`). As it was said before when left out, of the same value; where that was said of another value, it has to be said here.'),
  reason: reasonSchema,
}).refine(({ value, passedEnd }) => value !== null || passedEnd !== true, { path: ['passedEnd'], message: 'Of a reading that is taken back nothing is said.', params: { code: 'one-of-two' } });
export type CorrectReading = z.infer<typeof correctReadingSchema>;
export const readingCorrectedSchema = z.strictObject({ id: idSchema, replacesId: idSchema, withoutSecondPerson: z.boolean() }).meta({ id: 'CorrectedReading' });
export type ReadingCorrected = z.infer<typeof readingCorrectedSchema>;

const priceFields = {
  at: instantSchema.describe('From when on.'),
  unitValue: moneySchema,
  withdrawn: z.boolean().describe('It did not change then.'),
  reason: z.string().nullable().describe('Why it was corrected; null as it was entered first, or anew.'),
  enteredAnew: z.boolean().describe('It had been taken back, and changed at this moment after all.'),
  withoutSecondPerson: z.boolean().describe('Corrected by who had entered it, in a business of one.'),
  recordedAt: instantSchema,
  recordedBy: actorSchema,
};
export const meterPriceSchema = z
  .strictObject({
    meterId: idSchema,
    meterLabel: nameSchema,
    boardId: idSchema,
    ...priceFields,
    isFirst: z.boolean().describe('As the board was fitted: it holds from then on, and only how much it was is corrected.'),
    before: z.array(z.strictObject(priceFields)).describe('What had been entered before, the latest first.'),
  })
  .meta({ id: 'MeterPrice' });
export type MeterPrice = z.infer<typeof meterPriceSchema>;
export const meterPricesSchema = z.strictObject({ items: z.array(meterPriceSchema) });
export type MeterPrices = z.infer<typeof meterPricesSchema>;

export const correctPriceSchema = z
  .strictObject({
    changedAt: instantSchema.describe('The change that was entered wrong, by its moment as it stands: what holds of all meters whose unit changed then.'),
    at: instantSchema.optional().describe('When it changed in truth. What was read at the change goes along.'),
    unitValues: z.array(z.strictObject({ meterId: idSchema, unitValue: moneyNotNegativeSchema })).max(50).default([]).describe('What a unit was worth in truth; meters that are left out keep what stands.'),
    withdrawn: z.boolean().default(false).describe('Nothing changed then: what held before holds on. What was read stays.'),
    reason: reasonSchema,
  })
  .refine(({ at, unitValues, withdrawn }) => withdrawn !== (at !== undefined || unitValues.length > 0), { path: ['unitValues'], message: 'Say how much it was, when it changed, or that it did not.', params: { code: 'one-of-two' } });
export type CorrectPrice = z.infer<typeof correctPriceSchema>;

/** A board that was opened or cleared while nobody read its meters. */
export const recordBoardOpeningSchema = z
  .strictObject({
    id: idSchema.optional(),
    openedAt: instantSchema.optional().describe('Now when left out.'),
    openedBy: idSchema.optional().describe('The person who opened it.'),
    why: notReadFields.why,
    note: notReadFields.note,
  })
  .refine(saysWhat, saysNothing);
export type RecordBoardOpening = z.infer<typeof recordBoardOpeningSchema>;
export const boardOpeningSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    boardId: idSchema,
    openedAt: instantSchema,
    openedBy: idSchema.nullable(),
    why: notReadFields.why,
    note: z.string().nullable(),
    takenBack: z.strictObject({ reason: z.string(), takenBackAt: instantSchema, takenBackBy: actorSchema }).nullable().describe('It was not opened then: it stays on record, and is asked about no more.'),
    recordedAt: instantSchema,
    recordedBy: actorSchema,
  })
  .meta({ id: 'BoardOpening' });
export type BoardOpening = z.infer<typeof boardOpeningSchema>;
export const boardOpeningsSchema = z.strictObject({ items: z.array(boardOpeningSchema) });
export type BoardOpenings = z.infer<typeof boardOpeningsSchema>;
export const takeBackBoardOpeningSchema = z.strictObject({ reason: reasonSchema });

/** A time at which a machine did not work. */
export const outageSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    startedAt: instantSchema,
    endedAt: instantSchema.nullable().describe('Null: it does not work yet.'),
    cause: z.string(),
    remedy: z.string().nullable().describe('What was done.'),
    reportedBy: idSchema.nullable(),
    endedBy: actorSchema.nullable().describe('Who said that it worked again; null while it does not, and where nobody noted that.'),
    confirmed: z
      .strictObject({ confirmedAt: instantSchema, confirmedBy: actorSchema, withoutSecondPerson: z.boolean().describe('By who had reported it, in a business of one.') })
      .nullable()
      .describe('Somebody else looked, and it is so.'),
    toConfirm: z.boolean().describe('Whoever reported or ended it had a hand in a count of that time, of which it explains nothing until somebody else confirms it.'),
    takenBack: z.strictObject({ reason: z.string(), takenBackAt: instantSchema, takenBackBy: actorSchema }).nullable().describe('It was wrong: it stays on record, and explains nothing.'),
    revision: revisionSchema,
    recordedAt: instantSchema,
    recordedBy: actorSchema,
  })
  .meta({ id: 'Outage' });
export type Outage = z.infer<typeof outageSchema>;
const outageEnd = {
  endedAt: instantSchema.describe('When it worked again.'),
  remedy: reasonSchema.describe('What was done.'),
};
export const reportOutageSchema = z
  .strictObject({
    id: idSchema.optional(),
    machineId: idSchema,
    startedAt: instantSchema.optional().describe('Now when left out.'),
    endedAt: outageEnd.endedAt.optional(),
    cause: reasonSchema.describe('What is wrong with it.'),
    remedy: outageEnd.remedy.optional(),
    reportedBy: idSchema.optional().describe('The person who told of it.'),
    metersAtStart: metersReadThenSchema.optional().describe('What its meters showed as it stopped. Left out, the readings are to be entered later, see /v1/meter-tasks.'),
    metersAtEnd: metersReadThenSchema.optional().describe('What they showed as it worked again.'),
  })
  .refine(({ endedAt, metersAtEnd }) => endedAt !== undefined || metersAtEnd === undefined, { path: ['metersAtEnd'], message: 'It does not work again yet.', params: { code: 'one-of-two' } })
  .refine(({ endedAt, remedy }) => (endedAt === undefined) === (remedy === undefined), { path: ['remedy'], message: 'Say when it worked again and what was done, or neither.', params: { code: 'one-of-two' } });
export type ReportOutage = z.infer<typeof reportOutageSchema>;
export const endOutageSchema = z.strictObject({ ...outageEnd, meters: metersReadThenSchema.optional().describe('What its meters showed then.') });
export type EndOutage = z.infer<typeof endOutageSchema>;
export const takeBackOutageSchema = z.strictObject({ reason: reasonSchema });
export const outageListQuerySchema = pageQuerySchema.extend({ machineId: idSchema.optional(), state: z.enum(['open', 'ended']).optional() });
export type OutageListQuery = z.infer<typeof outageListQuerySchema>;
export const outagePageSchema = pageSchema(outageSchema);
