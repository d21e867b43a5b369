import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { keyHolderReferenceSchema } from './custody';
import { keyClassSchema } from './key-code';
import { keyWhereaboutsSchema, lockOpensSchema } from './key-whereabouts';
import { lockPlaceSchema } from './machine-lock';
import { pageQuerySchema, pageSchema } from './page';

const MOST_COPIES = 200;
const actorSchema = z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.');
const storeSchema = z.strictObject({ storeId: idSchema, code: codeSchema, name: nameSchema });
const causeSchema = z.enum(['schedule', 'custodian-change', 'by-hand']);

const summaryFields = {
  id: idSchema,
  cause: causeSchema,
  store: storeSchema.nullable().describe('Only what lay in this store is asked for; null: every copy.'),
  openedAt: instantSchema,
  openedBy: actorSchema,
  reason: z.string(),
  copies: z.int().min(0).describe('Copies that are asked for.'),
  counted: z.int().min(0).describe('Copies that were seen or attested.'),
  closed: z.strictObject({ at: instantSchema, by: actorSchema, reason: z.string() }).nullable(),
};
export const keyInventorySummarySchema = z.strictObject(summaryFields).meta({ id: 'KeyInventorySummary' });
export type KeyInventorySummary = z.infer<typeof keyInventorySummarySchema>;

const figures = {
  made: z.int(),
  duplicated: z.int(),
  destroyed: z.int(),
  inStores: z.int(),
  withHolders: z.int(),
  missing: z.int(),
  unaccounted: z.int().describe('made + duplicated - destroyed - inStores - withHolders - missing.'),
};
const lineSchema = z.strictObject({ keyCodeId: idSchema, code: codeSchema, class: keyClassSchema, ...figures }).meta({ id: 'KeyInventoryLine' });

const discrepancySchema = z
  .strictObject({
    kind: z.enum(['not-seen', 'seen-elsewhere', 'was-missing', 'books-disagree', 'surplus']).describe('`books-disagree`: the events of a code do not add up to its copies. `surplus`: a key that is in no books.'),
    keyCodeId: idSchema.nullable(),
    code: codeSchema.nullable(),
    keyCopyId: idSchema.nullable(),
    number: codeSchema.nullable(),
    note: z.string().nullable(),
  })
  .meta({ id: 'KeyInventoryDiscrepancy' });

const countedCopySchema = z
  .strictObject({
    keyCopyId: idSchema,
    number: codeSchema,
    keyCodeId: idSchema,
    code: codeSchema,
    class: keyClassSchema,
    where: keyWhereaboutsSchema.describe('Where the books have it now.'),
    counted: z
      .strictObject({ how: z.enum(['seen', 'attested']), at: instantSchema, by: actorSchema, withoutSecondPerson: z.boolean().describe('Counted by who keeps it, in a business of one.') })
      .nullable(),
  })
  .meta({ id: 'KeyInventoryCopy' });

export const keyInventorySchema = z
  .strictObject({
    ...summaryFields,
    items: z.array(countedCopySchema).describe('The copies that are asked for, by number.'),
    lines: z.array(lineSchema).describe('Per code: made + duplicated - destroyed = inStores + withHolders + missing + unaccounted. While it is open, as it would be closed now.'),
    total: z.strictObject(figures),
    discrepancies: z.array(discrepancySchema),
  })
  .meta({ id: 'KeyInventory' });
export type KeyInventory = z.infer<typeof keyInventorySchema>;

export const openKeyInventorySchema = z
  .strictObject({ id: idSchema.optional(), cause: causeSchema, storeId: idSchema.optional().describe('Count this store alone; needed where its custodian changes.'), reason: reasonSchema })
  .refine(({ cause, storeId }) => cause !== 'custodian-change' || storeId !== undefined, { path: ['storeId'], message: 'name the store whose custodian changes', params: { code: 'missing' } })
  .refine(({ cause, storeId }) => cause !== 'schedule' || storeId === undefined, { path: ['storeId'], message: 'the scheduled inventory counts every key', params: { code: 'not-of-this-kind' } });
export type OpenKeyInventory = z.infer<typeof openKeyInventorySchema>;

const copyIdsSchema = z.array(idSchema).min(1).max(MOST_COPIES).refine((ids) => new Set(ids).size === ids.length, 'names a copy twice');
export const countKeysSchema = z.strictObject({
  keyCopyIds: copyIdsSchema.describe('Copies that you saw with your own eyes.'),
  at: keyHolderReferenceSchema.describe('With whom, in which store or at which place.'),
});
export type CountKeys = z.infer<typeof countKeysSchema>;

export const attestKeysSchema = z.strictObject({ keyCopyIds: copyIdsSchema.describe('Copies that you have yourself, or that hang at a place you answer for.') });
export type AttestKeys = z.infer<typeof attestKeysSchema>;
export const attestedKeysSchema = z.strictObject({ attested: z.int().min(1) });
export type AttestedKeys = z.infer<typeof attestedKeysSchema>;

export const surplusKeySchema = z.strictObject({ keyCodeId: idSchema.optional().describe('When it is known which locks it opens.'), note: reasonSchema.describe('What it looks like and where it lay.') });
export type SurplusKeyFound = z.infer<typeof surplusKeySchema>;

export const closeKeyInventorySchema = z.strictObject({ reason: reasonSchema.describe('The result in words.') });
export type CloseKeyInventory = z.infer<typeof closeKeyInventorySchema>;

export const keyInventoryListQuerySchema = pageQuerySchema.extend({ state: z.enum(['open', 'closed']).optional() });
export type KeyInventoryListQuery = z.infer<typeof keyInventoryListQuerySchema>;
export const keyInventoryPageSchema = pageSchema(keyInventorySummarySchema);

export const keyInventoryScheduleSchema = z
  .strictObject({
    everyMonths: z.int().min(1),
    lastClosedOn: localDateSchema.nullable().describe('When every key was last counted.'),
    nextDueOn: localDateSchema.nullable().describe('Null while there are no keys.'),
    overdue: z.boolean(),
    custodianChanges: z
      .array(z.strictObject({ store: storeSchema, custodian: z.strictObject({ personId: idSchema, code: codeSchema, name: nameSchema }), changedAt: instantSchema, dueOn: localDateSchema, overdue: z.boolean() }))
      .describe('Stores whose custodian changed and which were not counted since.'),
    oldLocks: z
      .array(
        z.strictObject({
          lockId: idSchema,
          machineId: idSchema,
          machineTag: codeSchema,
          place: lockPlaceSchema,
          opens: lockOpensSchema,
          keyCodeId: idSchema,
          code: codeSchema,
          fittedAt: instantSchema,
          changeDueOn: localDateSchema.describe('Twelve months after it was fitted, by the calendar of the operator.'),
        }),
      )
      .describe('Locks on machines that were not changed within twelve months, the oldest first.'),
  })
  .meta({ id: 'KeyInventorySchedule' });
export type KeyInventorySchedule = z.infer<typeof keyInventoryScheduleSchema>;
