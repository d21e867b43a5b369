import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { ChangeSite, Site } from '#contracts/site';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { selectRuleInOtherCurrency } from '../tax/tax.sql';
import { siteConstraints, taxedInOtherCurrency } from './refusals';
import { lockSite, selectSiteTies, updateSite, type SiteRow } from './site.sql';
import { toSite } from './to-site';

/** Changes what is said about a site. Nothing that hangs on it may fall outside the days on which it is open. */
export async function changeSite(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeSite },
): Promise<Outcome<Site>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'site.change',
    async ({ tx }) => {
      const before = await lockSite(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      const after: SiteRow = {
        ...before,
        code: change.code ?? before.code,
        name: change.name ?? before.name,
        address: change.address ?? before.address,
        time_zone: change.timeZone ?? before.time_zone,
        tax_area_id: change.taxAreaId ?? before.tax_area_id,
        opened_on: change.openedOn ?? before.opened_on,
        closed_on: change.closedOn === undefined ? before.closed_on : change.closedOn,
      };
      const wrong = [...unprintable({ name: change.name, address: change.address }), ...(await tiesBroken(tx, before, after))];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      return done(toSite(await updateSite(tx, after)));
    },
    { constraints: siteConstraints },
  );
}

async function tiesBroken(tx: TenantTransaction, before: SiteRow, after: SiteRow): Promise<WrongField[]> {
  const ties = await selectSiteTies(tx, { id: after.id, openedOn: after.opened_on, closedOn: after.closed_on });
  const wrong: WrongField[] = [];
  if (ties.placed_before !== null) {
    wrong.push({ path: ['openedOn'], code: 'after-first-placement', message: `Machine ${ties.placed_before} was placed there earlier.` });
  }
  if (ties.agreed_before !== null) {
    wrong.push({ path: ['openedOn'], code: 'after-first-agreement', message: `Agreement ${ties.agreed_before} began earlier.` });
  }
  if (ties.placed_after !== null) {
    wrong.push({ path: ['closedOn'], code: 'machine-still-placed', message: `Machine ${ties.placed_after} still stands there then: remove or move it first.` });
  }
  if (ties.agreed_after !== null) {
    wrong.push({ path: ['closedOn'], code: 'agreement-still-holds', message: `Agreement ${ties.agreed_after} still holds then: end it first.` });
  }
  const rule = after.tax_area_id === before.tax_area_id ? null : await selectRuleInOtherCurrency(tx, { id: after.tax_area_id, currency: after.currency });
  if (rule !== null) wrong.push(taxedInOtherCurrency(rule));
  if (after.tax_area_id !== before.tax_area_id && ties.settled) {
    // The area is not dated: another one would change the tax of months that are settled already.
    wrong.push({ path: ['taxAreaId'], code: 'settled-already', message: 'The site was settled under its tax area: add dated rules to that area instead.' });
  }
  return wrong;
}
