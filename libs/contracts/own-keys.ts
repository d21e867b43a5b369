import { z } from 'zod';
import { codeSchema, idSchema, instantSchema } from './format';
import { keyClassSchema } from './key-code';
import { keyInventorySummarySchema } from './key-inventory';
import { keyHolderSchema } from './key-whereabouts';

/** To whom whoever asks may hand on a key of their site. */
export const keyReceiversSchema = z
  .strictObject({ items: z.array(keyHolderSchema).describe('People who work at the sites that you look after, and the named places there, by site and name.') })
  .meta({ id: 'KeyReceivers' });
export type KeyReceivers = z.infer<typeof keyReceiversSchema>;

/** Open counts that ask for keys which whoever asks has. */
export const ownInventoriesSchema = z
  .strictObject({
    items: z
      .array(
        z.strictObject({
          id: idSchema,
          cause: keyInventorySummarySchema.shape.cause,
          reason: z.string(),
          openedAt: instantSchema,
          copies: z
            .array(
              z.strictObject({
                keyCopyId: idSchema,
                number: codeSchema,
                code: codeSchema,
                class: keyClassSchema,
                holder: keyHolderSchema.describe('You, or a place that you answer for or may use.'),
                counted: z.boolean().describe('Seen or attested already.'),
              }),
            )
            .describe('What you have of the keys that it asks for, by number.'),
        }),
      )
      .describe('Those opened first come first.'),
  })
  .meta({ id: 'OwnKeyInventories' });
export type OwnInventories = z.infer<typeof ownInventoriesSchema>;
