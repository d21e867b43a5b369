import { z } from 'zod';
import { codeSchema, idSchema, instantSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** Copies that hang together: they go out and come back as one event. */
export const keyRingSchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    copies: z.array(z.strictObject({ keyCopyId: idSchema, number: codeSchema, since: instantSchema })).describe('What hangs on it at present.'),
  })
  .meta({ id: 'KeyRing' });
export type KeyRing = z.infer<typeof keyRingSchema>;

export const createKeyRingSchema = z.strictObject({ id: idSchema.optional(), code: codeSchema });
export type CreateKeyRing = z.infer<typeof createKeyRingSchema>;

export const changeKeyRingSchema = z.strictObject({
  putOn: z.array(idSchema).max(200).default([]).describe('Copies to put on.'),
  takeOff: z.array(idSchema).max(200).default([]).describe('Copies to take off.'),
});
export type ChangeKeyRing = z.infer<typeof changeKeyRingSchema>;

export const keyRingListQuerySchema = pageQuerySchema;
export const keyRingPageSchema = pageSchema(keyRingSchema);
