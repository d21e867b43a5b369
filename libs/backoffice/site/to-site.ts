import type { Site } from '#contracts/site';
import type { SiteRow } from './site.sql';

/** A stored site as the API shows it. */
export function toSite(row: SiteRow): Site {
  return {
    id: row.id,
    code: row.code,
    name: row.name,
    address: row.address,
    timeZone: row.time_zone,
    currency: row.currency,
    taxAreaId: row.tax_area_id,
    openedOn: row.opened_on,
    closedOn: row.closed_on,
    revision: row.revision,
  };
}
