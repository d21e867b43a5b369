import { z } from 'zod';
import { fieldErrorSchema } from '#contracts/problem';

const keptProblemSchema = z.object({ code: z.string(), detail: z.string().optional(), errors: z.array(fieldErrorSchema).optional() });

/** Why a visit was kept aside, as it is stored; null of one that was entered. */
export function keptProblem(stored: unknown): z.infer<typeof keptProblemSchema> | null {
  return stored === null ? null : keptProblemSchema.parse(stored);
}
