import { z } from 'zod';
import { codeSchema, idSchema, localDateSchema, nameSchema } from './format';
import { keyClassSchema } from './key-code';
import { keyPersonSchema, keyWhereaboutsSchema } from './key-whereabouts';

const copySchema = z.strictObject({ keyCopyId: idSchema, number: codeSchema, code: codeSchema, class: keyClassSchema, where: keyWhereaboutsSchema }).meta({ id: 'KeyOut' });

const leaverSchema = z
  .strictObject({
    person: keyPersonSchema,
    leftOn: localDateSchema.describe('The last day; keys are due back on it.'),
    overdue: z.boolean(),
    copies: z.array(copySchema).describe('Keys that the person still has.'),
    keeps: z
      .array(z.strictObject({ kind: z.enum(['store', 'place']), id: idSchema, code: codeSchema, name: nameSchema }))
      .describe('Stores that the person still keeps, and places at sites that they answer for or may use: the keys there are at hand, too.'),
  })
  .meta({ id: 'KeyLeaver' });

const closingSiteSchema = z
  .strictObject({
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    closedOn: localDateSchema,
    overdue: z.boolean(),
    copies: z.array(copySchema).describe('Keys with people of the site, or at places there.'),
  })
  .meta({ id: 'KeyClosingSite' });

/** What is left to do; each entry goes by itself when the keys are back. */
export const keyTasksSchema = z
  .strictObject({
    leavers: z.array(leaverSchema).describe('People who left, or are about to, with keys; the earliest first.'),
    closingSites: z.array(closingSiteSchema).describe('Sites that are closed, or about to be, with keys out; the earliest first.'),
  })
  .meta({ id: 'KeyTasks' });
export type KeyTasks = z.infer<typeof keyTasksSchema>;
