import type { WrongField } from '#contracts/outcome';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken, unknownReference } from '../refusal';

/** What only the database can say when two requests come at once, in words. */
export const siteConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  site_pkey: taken(['id'], 'a site with this id'),
  site_tenant_id_code_key: taken(['code'], 'a site with this code'),
  site_tenant_id_tax_area_id_fkey: unknownReference(['taxAreaId'], 'tax area'),
  site_dates: fieldFailure('invalid-command', { path: ['closedOn'], code: 'not-after-opening', message: 'A site closes after the day it opened.' }),
};

/** A rule of the tax area has amounts in another currency than the site. */
export function taxedInOtherCurrency(ruleCode: string): WrongField {
  return { path: ['taxAreaId'], code: 'other-currency', message: `Rule ${ruleCode} of this area is written in another currency.` };
}
