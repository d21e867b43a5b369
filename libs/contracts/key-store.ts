import { z } from 'zod';
import { codeSchema, idSchema, instantSchema, nameSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

export const keyStoreKindSchema = z.enum(['safe', 'van', 'envelope']).describe('A safe of the office, a van, or a numbered sealed envelope.');

/** Where the operator keeps keys that nobody was given. */
export const keyStoreSchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    name: nameSchema,
    kind: keyStoreKindSchema,
    custodian: z
      .strictObject({
        personId: idSchema,
        name: z.string(),
        since: instantSchema,
        alsoCollects: z.boolean().describe('Appointed although they collect, under a policy that allowed it.'),
      })
      .nullable()
      .describe('Who answers for the keys in it at present, or null.'),
  })
  .meta({ id: 'KeyStore' });
export type KeyStore = z.infer<typeof keyStoreSchema>;

export const createKeyStoreSchema = z.strictObject({ id: idSchema.optional(), code: codeSchema, name: nameSchema, kind: keyStoreKindSchema });
export type CreateKeyStore = z.infer<typeof createKeyStoreSchema>;

export const appointCustodianSchema = z.strictObject({
  personId: idSchema.nullable().describe('One of the operator’s own people; null: nobody from then on.'),
  since: instantSchema.optional().describe('From when on; now when left out. Whoever had the store before has it up to then.'),
});
export type AppointCustodian = z.infer<typeof appointCustodianSchema>;

export const keyStoreListQuerySchema = pageQuerySchema;
export const keyStorePageSchema = pageSchema(keyStoreSchema);
