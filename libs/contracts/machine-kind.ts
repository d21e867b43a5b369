import { z } from 'zod';

/** The operator's own word for a sort of machine; tax rules and groups of an agreement name it. */
export const machineKindSchema = z
  .string()
  .regex(/^[a-z][a-z0-9-]{1,29}$/, 'must be 2 to 30 small letters, digits or hyphens, beginning with a letter')
  .describe('The operator\'s own word for a sort of machine: `pool-table`, `jukebox`. 2 to 30 small letters, digits or hyphens.');
