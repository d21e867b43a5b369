import { z } from 'zod';
import { instantSchema } from './format';

/** The two clocks that every question about keys is asked by. */
export const momentFields = {
  at: instantSchema.optional().describe('When it was so in the world; now when left out.'),
  knownAt: instantSchema.optional().describe('As the books knew it at this instant; as they know it now when left out.'),
};

export const momentQuerySchema = z.strictObject(momentFields);
export type MomentQuery = z.infer<typeof momentQuerySchema>;
