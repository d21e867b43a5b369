import { z } from 'zod';
import { custodyKinds } from '#domain/keys/custody';
import { codeSchema, idSchema, instantSchema, reasonSchema } from './format';
import { keyClassSchema } from './key-code';
import { keyHolderSchema, keyPersonSchema, keyWhereaboutsSchema } from './key-whereabouts';
import { pageQuerySchema, pageSchema } from './page';

const MOST_COPIES = 200;

export const custodyKindSchema = z.enum(custodyKinds).describe('What can happen to a copy of a key.');
const eventKindSchema = z.enum([...custodyKinds, 'corrected']).describe('`corrected` names an event and says what happened instead.');
const saysSchema = custodyKindSchema.nullable().describe('What happened; differs from `kind` for corrections, and is null where nothing happened.');

export const keyHolderReferenceSchema = z
  .strictObject({ kind: z.enum(['person', 'store', 'place']), id: idSchema })
  .describe('A person, a store, or a named place at a site, by id.')
  .meta({ id: 'KeyHolderReference' });

const copyIdsSchema = z.array(idSchema).min(1).max(MOST_COPIES).refine((ids) => new Set(ids).size === ids.length, 'names a copy twice');

/** Something that happened to copies of keys. Copies are made by `POST /v1/key-copies`. */
export const recordCustodySchema = z.strictObject({
  id: idSchema.optional(),
  kind: z.enum(['issued', 'returned', 'handed-over', 'reported-missing', 'found', 'destroyed', 'seen', 'corrected']),
  happenedAt: instantSchema.optional().describe('Now when left out; for a correction the time of what it corrects.'),
  keyCopyIds: copyIdsSchema.optional().describe(`1 to ${MOST_COPIES} copies. Leave out for a ring; for a correction, to correct the event for all its copies.`),
  keyRingId: idSchema.optional().describe('All copies that hang on the ring at that time go as one.'),
  from: keyHolderReferenceSchema.nullable().optional().describe('Who gives: issued, returned, handed-over.'),
  to: keyHolderReferenceSchema.nullable().optional().describe('Who has it afterwards: issued, returned, handed-over, found, seen.'),
  dueBackAt: instantSchema.nullable().optional().describe('Until when it is lent.'),
  reason: reasonSchema,
  correctsId: idSchema.optional().describe('The event that was not so.'),
  says: saysSchema.optional().describe('For a correction: what happened instead; null for nothing.'),
});
export type RecordCustody = z.infer<typeof recordCustodySchema>;

const eventCopySchema = z.strictObject({
  keyCopyId: idSchema,
  number: codeSchema,
  keyCodeId: idSchema,
  code: codeSchema,
  class: keyClassSchema,
  exceptionId: idSchema.nullable().describe('The owner’s exception under which a cash-box key went to somebody of a site.'),
  breachDueAt: instantSchema.nullable().describe('A cash-box key is with somebody of a site: until when that has to be put right.'),
  correctedById: idSchema.nullable().describe('The event that took the place of this one for the copy.'),
});

export const custodySideSchema = z.enum(['giver', 'receiver']);
export type CustodySide = z.infer<typeof custodySideSchema>;

const acknowledgementSchema = z.strictObject({
  side: custodySideSchema,
  person: keyPersonSchema.pick({ personId: true, code: true, name: true }),
  how: z.enum(['recorded', 'signed-in', 'link', 'signed']).describe('Recorded it themselves, confirmed it signed in, by a one-use link, or by a signed receipt.'),
  acknowledgedAt: instantSchema,
});

export const denialHowSchema = z.enum(['signed-in', 'link']).describe('Said signed in, or by a one-use link, which whoever made it has seen as well.');
export type DenialHow = z.infer<typeof denialHowSchema>;

const denialSchema = z.strictObject({ side: custodySideSchema, person: keyPersonSchema.pick({ personId: true, code: true, name: true }), how: denialHowSchema, deniedAt: instantSchema });

export const custodyEventSchema = z
  .strictObject({
    id: idSchema,
    kind: eventKindSchema,
    says: saysSchema,
    happenedAt: instantSchema.describe('When it was so in the world.'),
    recordedAt: instantSchema.describe('When the books learned of it.'),
    recordedBy: z.string(),
    reason: z.string(),
    from: keyHolderSchema.nullable(),
    to: keyHolderSchema.nullable(),
    keyRing: z.strictObject({ id: idSchema, code: codeSchema }).nullable(),
    dueBackAt: instantSchema.nullable(),
    acknowledgeBy: instantSchema.nullable().describe('Until when both sides confirm it; null for kinds that nobody confirms.'),
    correctsId: idSchema.nullable(),
    withoutSecondPerson: z.boolean().describe('Corrected by the one who recorded it, in a business of one.'),
    copies: z.array(eventCopySchema),
    acknowledgements: z.array(acknowledgementSchema),
    denials: z.array(denialSchema).describe('Who said that they did not give or receive it. It changes nothing else: it is for whoever looks after the keys to correct the event.'),
  })
  .meta({ id: 'CustodyEvent' });
export type CustodyEvent = z.infer<typeof custodyEventSchema>;

export const custodyEventListQuerySchema = pageQuerySchema.extend({
  keyCopyId: idSchema.optional(),
  keyCodeId: idSchema.optional(),
  personId: idSchema.optional().describe('Only events in which this person gives or receives.'),
  kind: eventKindSchema.optional(),
  from: instantSchema.optional().describe('Recorded at this instant or later.'),
  before: instantSchema.optional().describe('Recorded before this instant.'),
});
export type CustodyEventListQuery = z.infer<typeof custodyEventListQuerySchema>;
export const custodyEventPageSchema = pageSchema(custodyEventSchema);

/** Copies that were made, or cut from another one, and lie in a store. */
export const makeKeyCopiesSchema = z.strictObject({
  keyCodeId: idSchema,
  numbers: z.array(codeSchema).min(1).max(MOST_COPIES).refine((numbers) => new Set(numbers).size === numbers.length, 'names a number twice').describe('A number for each copy, unique for good.'),
  storeId: idSchema.describe('Where they are put.'),
  duplicatedFromId: idSchema.optional().describe('The copy that they were cut from; leave out for keys that came with the lock or were made to the code.'),
  happenedAt: instantSchema.optional().describe('Now when left out.'),
  reason: reasonSchema,
});
export type MakeKeyCopies = z.infer<typeof makeKeyCopiesSchema>;

export const keyCopySchema = z
  .strictObject({
    id: idSchema,
    number: codeSchema,
    keyCodeId: idSchema,
    code: codeSchema,
    class: keyClassSchema,
    duplicatedFromId: idSchema.nullable(),
    where: keyWhereaboutsSchema.nullable().describe('Where it is now as the books know it.'),
  })
  .meta({ id: 'KeyCopy' });
export type KeyCopy = z.infer<typeof keyCopySchema>;

export const madeKeyCopiesSchema = z.strictObject({ eventId: idSchema, items: z.array(keyCopySchema) });
export type MadeKeyCopies = z.infer<typeof madeKeyCopiesSchema>;

export const keyCopyHistorySchema = keyCopySchema.extend({ history: z.array(custodyEventSchema).describe('Everything that was recorded about it, in the order of recording.') }).meta({ id: 'KeyCopyHistory' });
export type KeyCopyHistory = z.infer<typeof keyCopyHistorySchema>;

export const keyCopyListQuerySchema = pageQuerySchema.extend({ keyCodeId: idSchema.optional(), state: z.enum(['held', 'missing', 'destroyed']).optional() });
export type KeyCopyListQuery = z.infer<typeof keyCopyListQuerySchema>;
export const keyCopyPageSchema = pageSchema(keyCopySchema);

