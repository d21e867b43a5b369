import { z } from 'zod';
import { searchSchema } from './address';
import { codeSchema, idSchema, localDateSchema, revisionSchema } from './format';
import { machineKindSchema } from './machine-kind';
import { pageQuerySchema, pageSchema } from './page';

const serialNumberSchema = z
  .string()
  .trim()
  .min(1)
  .max(100)
  .regex(/^\P{Cc}*$/u, 'must not hold control characters')
  .nullable();

/** The cabinet with its lock and cash box. The game in it may change without the cabinet moving. */
export const machineSchema = z
  .strictObject({
    id: idSchema,
    tag: codeSchema.describe('What people read on the cabinet. Unique per operator.'),
    kind: machineKindSchema,
    serialNumber: serialNumberSchema,
    acquiredOn: localDateSchema,
    disposedOn: localDateSchema.nullable().describe('First day on which the operator no longer has it, or null.'),
    placement: z
      .strictObject({ id: idSchema, siteId: idSchema, siteCode: codeSchema, placedOn: localDateSchema })
      .nullable()
      .describe('Where it stands at present: the placement that has no removal yet. Null for a machine in the shop.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Machine' });
export type Machine = z.infer<typeof machineSchema>;

const fields = { tag: codeSchema, kind: machineKindSchema, serialNumber: serialNumberSchema, acquiredOn: localDateSchema };

export const createMachineSchema = z.strictObject({
  id: idSchema.optional(),
  ...fields,
  serialNumber: serialNumberSchema.default(null),
  placement: z
    .strictObject({ id: idSchema.optional(), siteId: idSchema, placedOn: localDateSchema })
    .optional()
    .describe('Where it is placed, in the same step: both are recorded or nothing is.'),
  installation: z
    .strictObject({ id: idSchema.optional(), gameId: idSchema, installedOn: localDateSchema })
    .optional()
    .describe('The game that is installed in it, in the same step.'),
});
export type CreateMachine = z.infer<typeof createMachineSchema>;

export const changeMachineSchema = z.strictObject({ ...fields, disposedOn: localDateSchema.nullable() }).partial();
export type ChangeMachine = z.infer<typeof changeMachineSchema>;

export const machineListQuerySchema = pageQuerySchema.extend({
  search: searchSchema.optional(),
  kind: machineKindSchema.optional(),
  siteId: idSchema.optional().describe('Only machines that stand at this site at present.'),
  placed: z.enum(['yes', 'no']).optional().describe('`yes`: only machines that stand at a site at present; `no`: only those in the shop.'),
});
export type MachineListQuery = z.infer<typeof machineListQuerySchema>;

export const machinePageSchema = pageSchema(machineSchema);
