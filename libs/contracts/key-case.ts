import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, nameSchema, reasonSchema } from './format';
import { keyClassSchema } from './key-code';
import { keyReachSchema } from './key-reach';
import { keyHolderSchema, keyWhereaboutsSchema, lockOpensSchema } from './key-whereabouts';
import { moneySchema } from './money';
import { pageQuerySchema, pageSchema } from './page';

export const keyCaseStateSchema = z
  .enum(['open', 'locks-changed', 'closed', 'ended'])
  .describe('`open`: some lock still takes the old key. `locks-changed`: none does, the case can be closed. `ended`: by the owner, with every lost key found.');

const codeReferenceSchema = z.strictObject({ keyCodeId: idSchema, code: codeSchema });
const actorSchema = z.string().describe('`user:<id>`, `token:<id>` or `system:<name>`.');

const progressSchema = z
  .strictObject({
    locks: z.int().min(0).describe('Locks that take the old key, or took it when the loss was noticed.'),
    changed: z.int().min(0),
    secured: z.int().min(0).describe('Not changed yet, but the box was emptied or has a second lock.'),
    overdue: z.int().min(0).describe('Locks that still take the old key although they were due.'),
    nextDueAt: instantSchema.nullable(),
  })
  .meta({ id: 'KeyCaseProgress' });

const summaryFields = {
  id: idSchema,
  keyCode: codeReferenceSchema.extend({ class: keyClassSchema, outsideCopies: z.boolean() }),
  cause: z.enum(['lost', 'compromised']).describe('`compromised`: others may have keys of the cut though no copy is missing.'),
  state: keyCaseStateSchema,
  happenedAt: instantSchema.describe('When the loss was noticed; deadlines count from here.'),
  surelyHeldUntil: instantSchema.describe('Until then the key was surely held; from then on somebody else may have had it.'),
  openedAt: instantSchema,
  openedBy: actorSchema,
  reason: z.string(),
  newCode: codeReferenceSchema.nullable().describe('The cut that takes the place of the old one.'),
  lostCopies: z.array(
    z.strictObject({ keyCopyId: idSchema, number: codeSchema, eventId: idSchema.describe('The report.'), surelyHeldUntil: instantSchema, found: z.boolean().describe('It is no longer missing. It may have been copied.') }),
  ),
  progress: progressSchema,
  closed: z.strictObject({ at: instantSchema, by: actorSchema, reason: z.string() }).nullable(),
};

export const keyCaseSummarySchema = z.strictObject(summaryFields).meta({ id: 'KeyCaseSummary' });
export type KeyCaseSummary = z.infer<typeof keyCaseSummarySchema>;

export const keyCaseStepKindSchema = z.enum(['new-code', 'box-emptied', 'second-lock', 'lock-changed', 'lock-removed', 'copy-given', 'copy-called-in', 'copy-left-out']);

const stepSchema = z
  .strictObject({
    id: idSchema,
    kind: keyCaseStepKindSchema,
    lockId: idSchema.nullable(),
    keyCopyId: idSchema.nullable(),
    happenedAt: instantSchema,
    recordedAt: instantSchema,
    recordedBy: actorSchema,
    note: z.string(),
  })
  .meta({ id: 'KeyCaseStep' });
export type KeyCaseStep = z.infer<typeof stepSchema>;

const plannedLockSchema = z
  .strictObject({
    lockId: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    siteId: idSchema.nullable(),
    siteCode: codeSchema.nullable(),
    siteName: nameSchema.nullable(),
    place: z.string(),
    opens: lockOpensSchema,
    state: z.enum(['open', 'secured', 'changed']),
    dueAt: instantSchema,
    overdue: z.boolean().describe('Not changed though it was due, or changed only after that.'),
    cash: moneySchema.nullable().describe('What probably lies in the box now, or lay there when the case was closed. Null once the lock takes the cut no more.'),
    changedAt: instantSchema.nullable(),
    changedBy: actorSchema.nullable(),
  })
  .meta({ id: 'PlannedLock' });

const copiesToGiveSchema = z.strictObject({
  holder: keyHolderSchema,
  given: z.strictObject({ keyCopyId: idSchema, number: codeSchema }).nullable().describe('The copy of the new cut that the holder has.'),
});
const copiesToCallInSchema = z.strictObject({
  keyCopyId: idSchema,
  number: codeSchema,
  where: keyWhereaboutsSchema.nullable().describe('Where it is now; null when it was destroyed.'),
  calledIn: z.boolean().describe('Back in a store, or destroyed.'),
  leftOut: z.boolean().describe('Somebody said why it stays with whoever has it, who had it ever since: a step `copy-left-out`.'),
});

export const keyCaseSchema = z
  .strictObject({
    ...summaryFields,
    reach: keyReachSchema.describe('What the keys opened when the loss was noticed, the cash there, and who had copies.'),
    locks: z.array(plannedLockSchema).describe('Locks on money first, the richest first; what is done comes last.'),
    copiesToGive: z.array(copiesToGiveSchema).describe('Whoever had a key of the old cut, and whether they have one of the new.'),
    copiesToCallIn: z.array(copiesToCallInSchema).describe('Other copies of the old cut.'),
    steps: z.array(stepSchema).describe('What was confirmed, in the order of recording.'),
  })
  .meta({ id: 'KeyCase' });
export type KeyCase = z.infer<typeof keyCaseSchema>;

/** A report of a missing key opens a case by itself. By hand: others may have keys of a cut though no copy is missing. */
export const openKeyCaseSchema = z.strictObject({
  id: idSchema.optional(),
  keyCodeId: idSchema,
  happenedAt: instantSchema.optional().describe('When it became known; now when left out.'),
  surelyHeldUntil: instantSchema.describe('Until when surely nobody else had keys of the cut.'),
  reason: reasonSchema,
});
export type OpenKeyCase = z.infer<typeof openKeyCaseSchema>;

export const confirmKeyCaseStepSchema = z.strictObject({
  id: idSchema.optional(),
  kind: keyCaseStepKindSchema.describe('`lock-changed` takes the old lock off and fits one of the new cut in its place; `lock-removed` takes it off only. `copy-left-out`: an old copy stays where it is; `note` says why.'),
  keyCodeId: idSchema.optional().describe('new-code: the cut that takes the place of the old one.'),
  lockId: idSchema.optional().describe('box-emptied, second-lock, lock-changed, lock-removed.'),
  keyCopyId: idSchema.optional().describe('copy-given: a copy of the new cut; copy-called-in, copy-left-out: one of the old.'),
  happenedAt: instantSchema.optional().describe('Now when left out.'),
  note: reasonSchema.describe('What was done, for people who read the case.'),
});
export type ConfirmKeyCaseStep = z.infer<typeof confirmKeyCaseStepSchema>;

export const closeKeyCaseSchema = z.strictObject({ reason: reasonSchema });
export type CloseKeyCase = z.infer<typeof closeKeyCaseSchema>;

export const keyCaseListQuerySchema = pageQuerySchema.extend({
  state: z.enum(['open', 'closed', 'ended']).optional().describe('`open`: not closed, whether or not its locks are changed.'),
  keyCodeId: idSchema.optional(),
});
export type KeyCaseListQuery = z.infer<typeof keyCaseListQuerySchema>;
export const keyCasePageSchema = pageSchema(keyCaseSummarySchema);

export const exposedCollectionSchema = z
  .strictObject({
    collectionId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    happenedAt: instantSchema,
    keyCaseId: idSchema,
    code: codeSchema,
    machines: z.array(
      z.strictObject({
        machineId: idSchema,
        machineTag: codeSchema,
        when: z.enum(['exposed', 'first-after']).describe('`exposed`: the old key opened the box at that time. `first-after`: the lock was changed since, but what was counted had lain there before.'),
      }),
    ),
  })
  .meta({ id: 'ExposedCollection' });
export type ExposedCollection = z.infer<typeof exposedCollectionSchema>;

export const exposedCollectionListQuerySchema = pageQuerySchema.extend({ keyCaseId: idSchema.optional(), siteId: idSchema.optional() });
export type ExposedCollectionListQuery = z.infer<typeof exposedCollectionListQuerySchema>;
export const exposedCollectionPageSchema = pageSchema(exposedCollectionSchema);
