import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';
import { keyClassSchema, outsideCopiesKnownSchema } from './key-code';
import { keyWhereaboutsSchema, lockOpensSchema } from './key-whereabouts';
import { moneySchema } from './money';

const exposedCashSchema = z
  .strictObject({
    amount: moneySchema.describe('What probably lies in the box; `source` says how it is known.'),
    source: z.enum(['reported', 'daily-takings']).describe('`reported`: by what the machine itself reported since its box was emptied; `daily-takings`: takings per day lately, times the days since the last collection.'),
    reportedAt: instantSchema.nullable().describe('Moment of the report, of two days at most before; null for `daily-takings`.'),
    perDay: moneySchema.nullable().describe('Takings per day lately. Null where one day only was counted.'),
    daysSince: z.int().min(0).describe('Days since the last collection.'),
    lastCollectedOn: localDateSchema,
  })
  .meta({ id: 'ExposedCash' });

const reachedMachineSchema = z
  .strictObject({
    machineId: idSchema,
    machineTag: codeSchema,
    siteId: idSchema.nullable().describe('Null for a machine that stands at no site.'),
    siteCode: codeSchema.nullable(),
    siteName: nameSchema.nullable(),
    cash: exposedCashSchema.nullable().describe('Null where the key reaches no money, or nothing was collected yet from which to estimate it.'),
    locks: z.array(z.strictObject({ lockId: idSchema, place: z.string(), opens: lockOpensSchema, keyCodeId: idSchema, code: codeSchema, fittedAt: instantSchema })),
  })
  .meta({ id: 'ReachedMachine' });

/** What the keys of some cuts open, what money lies there, and who has copies. */
export const keyReachSchema = z
  .strictObject({
    at: instantSchema,
    knownAt: instantSchema,
    codes: z.array(
      z.strictObject({ keyCodeId: idSchema, code: codeSchema, class: keyClassSchema, outsideCopies: outsideCopiesKnownSchema }),
    ),
    machines: z.array(reachedMachineSchema).describe('Most cash first.'),
    sites: z
      .array(z.strictObject({ siteId: idSchema, siteCode: codeSchema, siteName: nameSchema, machines: z.int().min(1), cash: moneySchema }))
      .describe('Most cash first.'),
    cash: z.array(moneySchema).describe('Sum per currency.'),
    machinesWithoutEstimate: z.int().min(0).describe('Machines whose cash the keys reach and nobody can estimate: none was collected yet.'),
    copies: z
      .array(z.strictObject({ keyCopyId: idSchema, number: codeSchema, keyCodeId: idSchema, code: codeSchema, where: keyWhereaboutsSchema }))
      .describe('Every copy that was made and not destroyed, by number.'),
  })
  .meta({ id: 'KeyReach' });
export type KeyReach = z.infer<typeof keyReachSchema>;

/** What would follow if one copy were lost, asked without reporting anything. */
export const copyReachSchema = z
  .strictObject({
    keyCopyId: idSchema,
    number: codeSchema,
    where: keyWhereaboutsSchema.nullable().describe('Where it is; null before it was made.'),
    reach: keyReachSchema.describe('`copies` are the others of the same cut.'),
  })
  .meta({ id: 'CopyReach' });
export type CopyReach = z.infer<typeof copyReachSchema>;
