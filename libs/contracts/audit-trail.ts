import { z } from 'zod';
import { idSchema, instantSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** One change of one row, as the database wrote it down with the change itself. */
export const auditEntrySchema = z
  .strictObject({
    id: idSchema,
    recordedAt: instantSchema,
    actor: z.string().describe('`user:<id>`, `token:<id>`, or `system:<name of the job or command>`.'),
    requestId: z.string().nullable(),
    kind: z.string().describe('What was changed: site, machine, membership ...'),
    thingId: z.string(),
    thingName: z.string().nullable().describe('What it is called now, or what it belongs to; null where it has no name, or was removed.'),
    action: z.enum(['insert', 'update', 'delete']),
    before: z.record(z.string(), z.unknown()).nullable().describe('Of an update, the columns that changed. Secrets are left out.'),
    after: z.record(z.string(), z.unknown()).nullable(),
  })
  .meta({ id: 'AuditEntry' });
export type AuditEntry = z.infer<typeof auditEntrySchema>;

export const auditTrailQuerySchema = pageQuerySchema.extend({
  kind: z.string().regex(/^[a-z_]{1,63}$/).optional().describe('Only changes of this kind of thing.'),
  thingId: z.string().max(200).optional().describe('Only changes of this thing.'),
  actor: z.string().max(100).optional().describe('Only changes by this actor.'),
});
export type AuditTrailQuery = z.infer<typeof auditTrailQuerySchema>;

export const auditTrailPageSchema = pageSchema(auditEntrySchema);
