import { z } from 'zod';
import { LONGEST_KEPT, retentionKinds } from '#domain/retention/kinds';
import { idSchema, instantSchema, localDateSchema, reasonSchema } from './format';

export const retentionKindSchema = z
  .enum(retentionKinds)
  .describe(
    '`invitations`: links that let people in, used, withdrawn or expired; `mails`: that a mail went out, and that a statement was opened; `webhooks`: events and their deliveries; `imports`: lines of files that never entered the books; `originals`: read-outs of machines, visits as phones sent them, files for the bank; `machine-reports`: what machines reported by themselves; `audit-trail`: who changed what.',
  );

const keepSchema = z.int().min(1).max(LONGEST_KEPT.days).nullable().describe('Days, or full years after the end of the year of the record, as `unit` of the kind says. Null: for as long as the operator exists.');

export const retentionRuleSchema = z
  .strictObject({
    kind: retentionKindSchema,
    unit: z.enum(['days', 'years']),
    keep: keepSchema,
    usual: z.int().describe('What is usual. Of kinds with `law` nothing goes until somebody decided; the others are kept for so long.'),
    least: z.int().describe('Nothing goes earlier.'),
    law: z.enum(['letters', 'vouchers', 'books']).nullable().describe('What the law of the country counts it among. Null: common practice, no source.'),
    isYearAdded: z.boolean().describe('`least` holds a year more than the law says: it counts from the end of the accounting year, which may end within a calendar year.'),
    source: z.string().nullable().describe('Paragraphs of the law of the country. Null: none, or none known, and then the longest time of the known laws stands in.'),
    decided: z.strictObject({ reason: z.string(), at: instantSchema, by: z.string() }).nullable().describe('Who decided it last. Null: nobody did.'),
  })
  .meta({ id: 'RetentionRule' });

export const retentionHoldSchema = z
  .strictObject({
    id: idSchema,
    reason: z.string(),
    placedAt: instantSchema,
    placedBy: z.string(),
    lifted: z.strictObject({ at: instantSchema, by: z.string(), reason: z.string() }).nullable(),
  })
  .meta({ id: 'RetentionHold' });
export type RetentionHold = z.infer<typeof retentionHoldSchema>;

export const retentionRunSchema = z
  .strictObject({
    kind: retentionKindSchema,
    day: localDateSchema,
    before: instantSchema.describe('What was older went.'),
    removed: z.int(),
    endedAt: instantSchema.nullable().describe('Null while it runs, and of one that was cut off: the next goes on where it stopped.'),
  })
  .meta({ id: 'RetentionRun' });
export type RetentionRun = z.infer<typeof retentionRunSchema>;

/** For how long each kind of record is kept, what stops removing, and what was removed. */
export const retentionSchema = z
  .strictObject({
    country: z.string().describe('Whose law sets the least times.'),
    isLawKnown: z.boolean(),
    rules: z.array(retentionRuleSchema),
    holds: z.array(retentionHoldSchema).describe('Those that stand first, then those that were lifted, the latest first.'),
    runs: z.array(retentionRunSchema).describe('Nights in which something was removed, the latest first; at most a hundred.'),
  })
  .meta({ id: 'Retention' });
export type Retention = z.infer<typeof retentionSchema>;

/** What would go tonight. */
export const retentionPreviewSchema = z
  .strictObject({
    items: z.array(
      z.strictObject({
        kind: retentionKindSchema,
        before: instantSchema.nullable().describe('What is older goes. Null: the kind is kept for as long as the operator exists.'),
        records: z.int(),
        oldest: instantSchema.nullable(),
      }),
    ),
    isHeld: z.boolean().describe('A hold stands: nothing goes.'),
  })
  .meta({ id: 'RetentionPreview' });
export type RetentionPreview = z.infer<typeof retentionPreviewSchema>;
export const retentionPreviewQuerySchema = z.strictObject({
  kind: retentionKindSchema.optional().describe('Only this kind.'),
  keep: z.coerce.number().int().min(1).max(LONGEST_KEPT.days).optional().describe('As if the kind were kept for so long.'),
});
export type RetentionPreviewQuery = z.infer<typeof retentionPreviewQuerySchema>;

export const decideRetentionSchema = z.strictObject({ id: idSchema.optional(), kind: retentionKindSchema, keep: keepSchema, reason: reasonSchema });
export type DecideRetention = z.infer<typeof decideRetentionSchema>;

export const placeHoldSchema = z.strictObject({ id: idSchema.optional(), reason: reasonSchema });
export type PlaceHold = z.infer<typeof placeHoldSchema>;
export const liftHoldSchema = z.strictObject({ reason: reasonSchema });
