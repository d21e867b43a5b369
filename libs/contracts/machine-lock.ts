import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, reasonSchema } from './format';
import { keyClassSchema } from './key-code';
import { pageQuerySchema, pageSchema } from './page';

const opensSchema = z.enum(['play-area', 'cash-box', 'everything']).describe('What it opens. `play-area` takes an access key; `cash-box` and `everything` take a cash-box key.');
export const lockPlaceSchema = z
  .string()
  .regex(/^[a-z][a-z0-9-]{0,29}$/, 'must be lower-case letters, digits and hyphens, at most 30')
  .describe('Where on the machine: front-door, cash-door. One lock in a place at a time.');

/** A lock on a machine. It moves with the machine; a safe or a changer is a machine of that kind. */
export const machineLockSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    place: lockPlaceSchema,
    opens: opensSchema,
    class: keyClassSchema,
    keyCodeId: idSchema,
    keyCode: codeSchema,
    fittedAt: instantSchema,
    removedAt: instantSchema.nullable(),
    removalReason: z.string().nullable(),
  })
  .meta({ id: 'MachineLock' });
export type MachineLock = z.infer<typeof machineLockSchema>;

const momentSchema = instantSchema.optional().describe('Now when left out.');
export const fitLockSchema = z.strictObject({ id: idSchema.optional(), machineId: idSchema, place: lockPlaceSchema, opens: opensSchema, keyCodeId: idSchema, fittedAt: momentSchema });
export type FitLock = z.infer<typeof fitLockSchema>;

export const fitLocksSchema = z.strictObject({ locks: z.array(fitLockSchema).min(1).max(500) }).describe('All of them or none.');
export type FitLocks = z.infer<typeof fitLocksSchema>;
export const fittedLocksSchema = z.strictObject({ items: z.array(machineLockSchema) });

export const fitLocksAtSitesSchema = z
  .strictObject({
    siteIds: z.array(idSchema).min(1).max(1000).refine((ids) => new Set(ids).size === ids.length, 'names a site twice'),
    place: lockPlaceSchema,
    opens: opensSchema,
    keyCodeId: idSchema,
    fittedAt: momentSchema,
    change: z.strictObject({ reason: reasonSchema }).optional().describe('Change locks of other cuts that are there for the same purpose, with the reason; left out, they stay.'),
  })
  .describe('The same kind of lock on every machine that stood at these sites then.');
export type FitLocksAtSites = z.infer<typeof fitLocksAtSitesSchema>;
export const fittedAtSitesSchema = z.strictObject({
  fitted: z.int().min(0).describe('Locks that were recorded where there was none.'),
  changed: z.int().min(0).describe('Locks that took the place of one of another cut.'),
  leftAlone: z.array(z.strictObject({ machineId: idSchema, machineTag: codeSchema, siteCode: codeSchema, keyCode: codeSchema })).describe('Machines that have a lock there already, with the cut that it takes.'),
});
export type FittedAtSites = z.infer<typeof fittedAtSitesSchema>;

export const removeLockSchema = z.strictObject({ removedAt: momentSchema, reason: reasonSchema });
export type RemoveLock = z.infer<typeof removeLockSchema>;

export const changeLockSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new lock.'),
  keyCodeId: idSchema.describe('The cut of the new lock, of the same class.'),
  changedAt: momentSchema,
  reason: reasonSchema,
});
export type ChangeLock = z.infer<typeof changeLockSchema>;
export const lockChangeSchema = z.strictObject({ removed: machineLockSchema, fitted: machineLockSchema });
export type LockChange = z.infer<typeof lockChangeSchema>;

export const machineLockListQuerySchema = pageQuerySchema.extend({
  machineId: idSchema.optional(),
  siteId: idSchema.optional().describe('Only locks of machines that stand at this site at present.'),
  keyCodeId: idSchema.optional(),
  inPlace: z.enum(['yes', 'no']).optional().describe('`yes`: only locks that are on their machines at present.'),
  fittedBefore: instantSchema.optional().describe('Only locks fitted before that: with `inPlace=yes`, those that were not changed since.'),
});
export type MachineLockListQuery = z.infer<typeof machineLockListQuerySchema>;
export const machineLockPageSchema = pageSchema(machineLockSchema);
