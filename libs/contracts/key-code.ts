import { z } from 'zod';
import { codeSchema, idSchema, revisionSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

export const keyClassSchema = z.enum(['access', 'cash-box']).describe('Access keys open the play area, for staff of sites; cash-box keys reach the money, for the operator’s own people.');
/** In answers about any time: since when others have copies, nobody knows, so no date is kept of it. */
export const outsideCopiesKnownSchema = z.boolean().describe('Others hold copies of this code that nobody can count: as is known today, whatever moment was asked about.');
const outsideCopiesSchema = z.boolean().describe('Whether others hold copies that nobody can count, as of locks that come alike from the factory.');

/** A cut of keys: locks of one code are keyed alike. */
export const keyCodeSchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    class: keyClassSchema,
    outsideCopies: outsideCopiesSchema,
    copies: z.int().min(0).describe('Copies in the books that were not destroyed.'),
    locks: z.int().min(0).describe('Locks that take it at present.'),
    revision: revisionSchema,
  })
  .meta({ id: 'KeyCode' });
export type KeyCode = z.infer<typeof keyCodeSchema>;

export const createKeyCodeSchema = z.strictObject({ id: idSchema.optional(), code: codeSchema, class: keyClassSchema, outsideCopies: outsideCopiesSchema });
export type CreateKeyCode = z.infer<typeof createKeyCodeSchema>;

/** The class stays: copies and locks of the code were given out and fitted by it. */
export const changeKeyCodeSchema = z.strictObject({ code: codeSchema, outsideCopies: outsideCopiesSchema }).partial();
export type ChangeKeyCode = z.infer<typeof changeKeyCodeSchema>;

export const keyCodeListQuerySchema = pageQuerySchema.extend({ class: keyClassSchema.optional() });
export type KeyCodeListQuery = z.infer<typeof keyCodeListQuerySchema>;

export const keyCodePageSchema = pageSchema(keyCodeSchema);
