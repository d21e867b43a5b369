import { z } from 'zod';
import { codeSchema, idSchema, localDateSchema, nameSchema, revisionSchema } from './format';
import { metersReadAroundSchema } from './meter';
import { pageQuerySchema, pageSchema } from './page';

const meters = metersReadAroundSchema.optional().describe('What its meters showed before and after. Left out where another game was in it before, the readings are to be entered later, see /v1/meter-tasks.');

/** A game in a machine, from the day it was installed until the day it was taken out. */
export const installationSchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    machineTag: codeSchema,
    gameId: idSchema,
    gameCode: codeSchema,
    gameTitle: nameSchema,
    installedOn: localDateSchema,
    removedOn: localDateSchema.nullable().describe('Day on which it was taken out, or null. The next game may begin on it.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Installation' });
export type Installation = z.infer<typeof installationSchema>;

export const createInstallationSchema = z.strictObject({
  id: idSchema.optional(),
  machineId: idSchema,
  gameId: idSchema,
  installedOn: localDateSchema,
  removedOn: localDateSchema.nullable().default(null),
  meters,
});
export type CreateInstallation = z.infer<typeof createInstallationSchema>;

export const changeInstallationSchema = z.strictObject({ installedOn: localDateSchema, removedOn: localDateSchema.nullable() }).partial();
export type ChangeInstallation = z.infer<typeof changeInstallationSchema>;

export const endInstallationSchema = z.strictObject({ removedOn: localDateSchema, meters });
export type EndInstallation = z.infer<typeof endInstallationSchema>;

export const replaceInstallationSchema = z.strictObject({
  id: idSchema.optional().describe('Id of the new installation.'),
  gameId: idSchema.describe('The game that comes in.'),
  replacedOn: localDateSchema.describe('Day of the change: it ends the old installation and begins the new one.'),
  meters,
});
export type ReplaceInstallation = z.infer<typeof replaceInstallationSchema>;

export const installationReplacementSchema = z.strictObject({ ended: installationSchema, begun: installationSchema });
export type InstallationReplacement = z.infer<typeof installationReplacementSchema>;

export const installationListQuerySchema = pageQuerySchema.extend({
  machineId: idSchema.optional(),
  gameId: idSchema.optional(),
  on: localDateSchema.optional().describe('Only installations that hold on this day.'),
});
export type InstallationListQuery = z.infer<typeof installationListQuerySchema>;

export const installationPageSchema = pageSchema(installationSchema);
