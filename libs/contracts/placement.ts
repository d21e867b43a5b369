import { z } from 'zod';
import { codeSchema, idSchema, localDateSchema, revisionSchema } from './format';
import { metersReadSchema } from './meter';
import { pageQuerySchema, pageSchema } from './page';

/** A machine at a site, from the day it was placed until the day it was removed. It is never in two places. */
export const placementSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    placedOn: localDateSchema,
    removedOn: localDateSchema.nullable().describe('Day of the removal, or null. The next placement may begin on it; a removal count of that day belongs to this one.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Placement' });
export type Placement = z.infer<typeof placementSchema>;

export const createPlacementSchema = z.strictObject({
  id: idSchema.optional(),
  machineId: idSchema,
  siteId: idSchema,
  placedOn: localDateSchema,
  removedOn: localDateSchema.nullable().default(null),
  meters: metersReadSchema.optional().describe('What its meters showed as it was placed. Left out, the readings are to be entered later, see /v1/meter-tasks.'),
});
export type CreatePlacement = z.infer<typeof createPlacementSchema>;

/** For dates written down wrongly. A machine that is removed or moved has `end` and `move`. */
export const changePlacementSchema = z.strictObject({ placedOn: localDateSchema, removedOn: localDateSchema.nullable() }).partial();
export type ChangePlacement = z.infer<typeof changePlacementSchema>;

export const endPlacementSchema = z.strictObject({ removedOn: localDateSchema, meters: metersReadSchema.optional().describe('What its meters showed as it was taken away. Left out, the readings are to be entered later, see /v1/meter-tasks.') });
export type EndPlacement = z.infer<typeof endPlacementSchema>;

export const movePlacementSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new placement.'),
  siteId: idSchema.describe('Where the machine goes.'),
  movedOn: localDateSchema.describe('Day of the move: it ends the old placement and begins the new one.'),
  metersAtRemoval: metersReadSchema.optional().describe('What its meters showed as it left. They serve for the new place as well, unless it was switched on on the way.'),
  metersAtPlacement: metersReadSchema.optional().describe('What they showed as it came.'),
});
export type MovePlacement = z.infer<typeof movePlacementSchema>;

export const placementMoveSchema = z.strictObject({ ended: placementSchema, begun: placementSchema });
export type PlacementMove = z.infer<typeof placementMoveSchema>;

export const placementListQuerySchema = pageQuerySchema.extend({
  machineId: idSchema.optional(),
  siteId: idSchema.optional(),
  on: localDateSchema.optional().describe('Only placements that hold on this day.'),
});
export type PlacementListQuery = z.infer<typeof placementListQuerySchema>;

export const placementPageSchema = pageSchema(placementSchema);
