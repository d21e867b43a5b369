import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, localDateSchema, nameSchema, reasonSchema } from './format';
import { keyPersonSchema } from './key-whereabouts';
import { pageQuerySchema, pageSchema } from './page';

const findings = ['key-holder-without-key', 'no-key-holder'] as const;

/** Whether who emptied the boxes of a collection had keys to them, as custody says now. */
export const collectionKeyCheckSchema = z
  .strictObject({
    collectionId: idSchema,
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    timeZone: z.string().describe('Of the site, IANA: the clock by which the visit was.'),
    happenedAt: instantSchema,
    keyHolder: keyPersonSchema.nullable().describe('Named for the key, else who collected; null where nobody is named.'),
    boxesExchanged: z.boolean(),
    result: z
      .enum(['not-needed', 'fitting-key', 'not-known', ...findings])
      .describe(
        '`not-needed`: locked boxes were exchanged; `fitting-key`: a key to every lock of every box; `not-known`: no lock is recorded on some box; `key-holder-without-key`: none to some lock; `no-key-holder`: the collection names nobody.',
      ),
    machines: z.array(
      z.strictObject({
        machineId: idSchema,
        machineTag: codeSchema,
        codes: z.array(codeSchema).describe('Codes of the locks that were on its box.'),
        lacking: z.array(codeSchema).describe('Those of them to which the key holder had no key.'),
      }),
    ),
  })
  .meta({ id: 'CollectionKeyCheck' });
export type CollectionKeyCheck = z.infer<typeof collectionKeyCheckSchema>;

const filters = {
  siteId: idSchema.optional(),
  personId: idSchema.optional().describe('Only where this person is the key holder.'),
  from: localDateSchema.optional().describe('Only visits of this day or later; those of the last quarter of a year when left out.'),
  before: localDateSchema.optional().describe('Only visits of a day before this one.'),
};
export const collectionKeyExportQuerySchema = z.strictObject(filters);
export type CollectionKeyExportQuery = z.infer<typeof collectionKeyExportQuerySchema>;
export const collectionKeyListQuerySchema = pageQuerySchema.extend(filters);
export type CollectionKeyListQuery = z.infer<typeof collectionKeyListQuerySchema>;
export const collectionKeyPageSchema = pageSchema(collectionKeyCheckSchema);

export const nameKeyHolderSchema = z
  .strictObject({
    keyHolderId: idSchema.optional().describe('Who had the key to the boxes.'),
    boxesExchanged: z.boolean().optional().describe('Instead: full boxes were exchanged for empty ones.'),
    reason: reasonSchema,
  })
  .refine(({ keyHolderId, boxesExchanged }) => (keyHolderId === undefined) === (boxesExchanged === true), {
    path: ['keyHolderId'],
    message: 'Name either the person or the exchange of locked boxes.',
    params: { code: 'one-of-two' },
  });
export type NameKeyHolder = z.infer<typeof nameKeyHolderSchema>;
