import { z } from 'zod';
import { searchSchema } from './address';
import { codeSchema, idSchema, nameSchema, revisionSchema } from './format';
import { machineKindSchema } from './machine-kind';
import { pageQuerySchema, pageSchema } from './page';

/** What is played: it can be installed in one cabinet after another. */
export const gameSchema = z
  .strictObject({ id: idSchema, code: codeSchema, title: nameSchema, kind: machineKindSchema, revision: revisionSchema })
  .meta({ id: 'Game' });
export type Game = z.infer<typeof gameSchema>;

const fields = { code: codeSchema, title: nameSchema, kind: machineKindSchema };

export const createGameSchema = z.strictObject({ id: idSchema.optional(), ...fields });
export type CreateGame = z.infer<typeof createGameSchema>;

export const changeGameSchema = z.strictObject(fields).partial();
export type ChangeGame = z.infer<typeof changeGameSchema>;

export const gameListQuerySchema = pageQuerySchema.extend({ search: searchSchema.optional(), kind: machineKindSchema.optional() });
export type GameListQuery = z.infer<typeof gameListQuerySchema>;

export const gamePageSchema = pageSchema(gameSchema);
