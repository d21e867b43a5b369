import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { CreateSite, Site } from '#contracts/site';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { selectRuleInOtherCurrency } from '../tax/tax.sql';
import { siteConstraints, taxedInOtherCurrency } from './refusals';
import { insertSite } from './site.sql';
import { toSite } from './to-site';

/** Opens a site. Its currency stays for good. */
export async function createSite(deps: Backoffice, caller: Caller, command: CreateSite): Promise<Outcome<Site>> {
  return perform(
    deps,
    caller,
    'site.create',
    async ({ tx, now }) => {
      const wrong = unprintable({ name: command.name, address: command.address });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const rule = await selectRuleInOtherCurrency(tx, { id: command.taxAreaId, currency: command.currency });
      if (rule !== null) return refusedFields('invalid-command', [taxedInOtherCurrency(rule)]);
      const row = await insertSite(tx, {
        id: command.id ?? deps.newId(),
        code: command.code,
        name: command.name,
        address: command.address,
        time_zone: command.timeZone,
        currency: command.currency,
        tax_area_id: command.taxAreaId,
        opened_on: command.openedOn,
        now,
      });
      return done(toSite(row));
    },
    { constraints: siteConstraints },
  );
}
