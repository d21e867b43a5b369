import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema } from './format';

/** What is still to be entered so that the books know what meters counted where. It holds no figure. */
export const meterTasksSchema = z
  .strictObject({
    readings: z
      .array(
        z.strictObject({
          occasion: z.enum(['placement', 'removal', 'game-change', 'price-change', 'board-access', 'out-of-service', 'in-service']),
          machineId: idSchema,
          machineTag: codeSchema,
          placementId: idSchema.nullable().describe('Of a placement or removal; null for every other.'),
          outageId: idSchema.nullable().describe('Of an outage; null for every other.'),
          boardOpeningId: idSchema.nullable().describe('Of a board that was opened or cleared unread; null for every other.'),
          siteCode: codeSchema.nullable(),
          day: localDateSchema.nullable().describe('Of a placement, a removal or a change of the game: readings of any moment of this day at the site serve; of a change those before and after it.'),
          at: instantSchema.describe('From when on readings serve: the beginning of that day, or when the machine stopped or worked again. Of a change of price, and of a board that was opened, that moment and no other.'),
          meters: z.array(z.strictObject({ meterId: idSchema, label: nameSchema })),
        }),
      )
      .describe('Occasions at which meters are always read, and of which some have neither a reading nor, but for a change of price and an opened board, a reason; the latest first.'),
    removals: z
      .array(
        z.strictObject({
          placementId: idSchema,
          machineId: idSchema,
          machineTag: codeSchema,
          siteId: idSchema,
          siteCode: codeSchema,
          removedOn: localDateSchema,
          nextSiteCode: codeSchema.nullable().describe('Where the machine went next; null while it stands at no site.'),
        }),
      )
      .describe('Machines that left a site under an agreement, and of which no count says what was in the box; the latest first.'),
    more: z.boolean().describe('There are more than these.'),
  })
  .meta({ id: 'MeterTasks' });
export type MeterTasks = z.infer<typeof meterTasksSchema>;
export const meterTasksQuerySchema = z.strictObject({ machineId: idSchema.optional() });
export type MeterTasksQuery = z.infer<typeof meterTasksQuerySchema>;
