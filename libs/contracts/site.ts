import { z } from 'zod';
import { addressSchema, searchSchema } from './address';
import { codeSchema, currencySchema, idSchema, localDateSchema, nameSchema, revisionSchema, timeZoneSchema } from './format';
import { pageQuerySchema, pageSchema } from './page';

/** A place where machines stand. Everything carried from month to month belongs to its agreements, never to the site. */
export const siteSchema = z
  .strictObject({
    id: idSchema,
    code: codeSchema,
    name: nameSchema,
    address: addressSchema,
    timeZone: timeZoneSchema,
    currency: currencySchema,
    taxAreaId: idSchema,
    openedOn: localDateSchema,
    closedOn: localDateSchema.nullable().describe('First day on which it is no longer open, or null.'),
    revision: revisionSchema,
  })
  .meta({ id: 'Site' });
export type Site = z.infer<typeof siteSchema>;

const fields = {
  code: codeSchema,
  name: nameSchema,
  address: addressSchema,
  timeZone: timeZoneSchema,
  taxAreaId: idSchema,
  openedOn: localDateSchema,
};

export const createSiteSchema = z.strictObject({
  id: idSchema.optional(),
  ...fields,
  address: addressSchema.default([]),
  currency: currencySchema.describe('The one currency of the site, ISO 4217. It stays for good: amounts of two currencies never meet.'),
});
export type CreateSite = z.infer<typeof createSiteSchema>;

export const changeSiteSchema = z.strictObject({ ...fields, closedOn: localDateSchema.nullable() }).partial();
export type ChangeSite = z.infer<typeof changeSiteSchema>;

export const siteListQuerySchema = pageQuerySchema.extend({
  search: searchSchema.optional(),
  openOn: localDateSchema.optional().describe('Only sites open on this day.'),
  taxAreaId: idSchema.optional(),
});
export type SiteListQuery = z.infer<typeof siteListQuerySchema>;

export const sitePageSchema = pageSchema(siteSchema);
