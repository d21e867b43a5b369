import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';
import { untoldBoxSchema } from './untold-box';

/** Cycles that are closed for many agreements at once; with `visit` a period is the day of visits, at each site settled by itself. */
export const cycleSchema = z.enum(['month', 'four-weeks', 'week', 'visit']);
export type Cycle = z.infer<typeof cycleSchema>;

/** A link that a browser follows by itself sends no headers of ours. */
export const archiveQuerySchema = z.strictObject({
  operator: z.string().min(1).max(64).optional().describe('Id or code of the operator, where no header names it.'),
});

export const startCloseSchema = z.strictObject({
  cycle: cycleSchema,
  startsOn: localDateSchema.describe('First day of the period.'),
});
export type StartClose = z.infer<typeof startCloseSchema>;

const count = z.int().min(0);

/** Of a refused review: what it names one by one, by the ids under which it is seen to. */
export const failureMachinesSchema = z.array(z.strictObject({ id: idSchema, tag: codeSchema })).describe('Machines that left, or whose meters were not read: what is to be entered of each stands under /v1/meter-tasks.');

/** As they are now: what was entered since is not among them. */
export const untoldBoxesSchema = z.array(untoldBoxSchema).describe('Boxes for which it waits, where the terms go by the meters: these cannot tell what they imply, and nobody said it. What was mended since is left out; settle it again then.');

export const closeFailureSchema = z
  .strictObject({
    step: z.enum(['settle', 'review', 'number', 'render']).describe('Where it stopped.'),
    agreementId: idSchema,
    settlementId: idSchema.nullable(),
    siteId: idSchema,
    siteCode: codeSchema,
    code: z.string().describe('Stable reason, in lower case with hyphens.'),
    message: z.string().describe('The reason for people.'),
    machines: failureMachinesSchema,
    untoldBoxes: untoldBoxesSchema,
  })
  .meta({ id: 'CloseFailure' });
export type CloseFailure = z.infer<typeof closeFailureSchema>;

export const keyMissedWhySchema = z
  .enum(['out-of-reach', 'expired', 'revoked', 'not-opened'])
  .describe('out-of-reach: the key lies elsewhere and does not sign; expired, revoked: the certificate in use is, and another one has to be put to use; not-opened: the key does not open on this server, which its master key has to.');
export type KeyMissedWhy = z.infer<typeof keyMissedWhySchema>;

export const closeProgressSchema = z
  .strictObject({
    agreements: count.describe('Agreements that have this period.'),
    settled: count.describe('Of them, those with a settlement, whatever its state; one in which nothing happened gets none.'),
    reviewed: count.describe('Settlements that are reviewed, or further.'),
    numbered: count.describe('Settlements that have their number, or are issued.'),
    issued: count.describe('Settlements whose signed statement is there.'),
    failed: count.describe('See `failures`.'),
    running: z.boolean().describe('Whether work is under way or waiting.'),
    keyMissed: z
      .strictObject({ since: instantSchema, why: keyMissedWhySchema, said: z.string().describe('What was said of it last, in English.') })
      .nullable()
      .describe('Statements wait because nothing signs them. They are made once something does: it is tried again by itself, after pauses that grow, and at once when what is numbered is issued again or another certificate is put to use. Null: none waits.'),
    stampMissed: z
      .strictObject({ since: instantSchema, until: instantSchema.describe('When waiting ends: what has no statement by then is listed under `failures`, and is issued again when you say so.'), said: z.string().describe('What was said of it last, in English.') })
      .nullable()
      .describe('Statements wait because the time-stamp authority gives no stamp for their signatures. It is asked again as the key is; nothing is issued without its stamp unless the operator turns stamps off (`statementsStamped`). Null: none waits for it.'),
  })
  .meta({ id: 'CloseProgress' });
export type CloseProgress = z.infer<typeof closeProgressSchema>;

const runFields = {
  id: idSchema,
  cycle: cycleSchema,
  startsOn: localDateSchema,
  endsBefore: localDateSchema.describe('First day of the next period.'),
  requestedBy: z.string().describe('user:<id> or token:<id>.'),
  requestedAt: instantSchema,
  progress: closeProgressSchema,
};

export const closeSummarySchema = z.strictObject(runFields).meta({ id: 'CloseSummary' });
export type CloseSummary = z.infer<typeof closeSummarySchema>;

export const closeSchema = z
  .strictObject({ ...runFields, failures: z.array(closeFailureSchema).describe('What could not be done, as last tried; the first 1,000.') })
  .meta({ id: 'Close' });
export type Close = z.infer<typeof closeSchema>;

export const closeListQuerySchema = pageQuerySchema.extend({ cycle: cycleSchema.optional() });
export type CloseListQuery = z.infer<typeof closeListQuerySchema>;
export const closePageSchema = pageSchema(closeSummarySchema);

export const reviewCloseSchema = z.strictObject({
  settlementIds: z.array(idSchema).min(1).max(10_000).optional().describe('Only these; all drafts of the run when left out.'),
});
export type ReviewClose = z.infer<typeof reviewCloseSchema>;
