import { z } from 'zod';
import { codeSchema, idSchema, nameSchema } from './format';
import { keyClassSchema } from './key-code';
import { pageQuerySchema, pageSchema } from './page';

/** How far the keys of a site are set up: what stands there, which locks are recorded, and what its staff have. */
export const keySiteSchema = z
  .strictObject({
    siteId: idSchema,
    siteCode: codeSchema,
    siteName: nameSchema,
    machines: z.int().min(0).describe('Machines that stand there now.'),
    cashBoxLocked: z.int().min(0).describe('Machines with a recorded lock on the cash box.'),
    playAreaLocked: z.int().min(0).describe('Machines with a recorded lock that opens the play area.'),
    cuts: z.array(z.strictObject({ keyCodeId: idSchema, code: codeSchema, class: keyClassSchema, machines: z.int().min(1) })).describe('Cuts that locks there take, with the number of machines.'),
    places: z.array(z.strictObject({ keyPlaceId: idSchema, code: codeSchema, name: nameSchema })).describe('Hooks and key safes there.'),
    copies: z.int().min(0).describe('Copies that hang there or are with people of the site.'),
  })
  .meta({ id: 'KeySite' });
export type KeySite = z.infer<typeof keySiteSchema>;

export const keySiteListQuerySchema = pageQuerySchema;
export type KeySiteListQuery = z.infer<typeof keySiteListQuerySchema>;
export const keySitePageSchema = pageSchema(keySiteSchema);
