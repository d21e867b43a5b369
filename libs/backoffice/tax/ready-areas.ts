import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { CopyReadyTaxArea, ReadyTaxAreaQuery, ReadyTaxAreas } from '#contracts/ready-area';
import { readyTaxAreas } from '#contracts/ready-areas/all';
import type { TaxArea } from '#contracts/tax';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { insertLimit } from './limit.sql';
import { insertTaxArea, insertTaxRule } from './tax.sql';
import { taxAreaConstraints, toTaxArea } from './to-tax';

/** Places whose published taxes and limits can be copied. The same for every operator. */
export function listReadyAreas(deps: Backoffice, caller: Caller, { country }: ReadyTaxAreaQuery): Promise<Outcome<ReadyTaxAreas>> {
  return perform<ReadyTaxAreas>(deps, caller, 'tax-area.read', async () =>
    done({ items: readyTaxAreas.filter((ready) => country === undefined || ready.country === country) }),
  );
}

/**
 * Records a tax area with the rules and limits of a ready one. They are the operator's own from then on: what the library
 * says later does not reach them.
 */
export async function copyReadyArea(deps: Backoffice, caller: Caller, command: CopyReadyTaxArea): Promise<Outcome<TaxArea>> {
  return perform(
    deps,
    caller,
    'tax-area.create',
    async ({ tx, now }) => {
      const ready = readyTaxAreas.find((candidate) => candidate.id === command.readyAreaId);
      if (ready === undefined) return refusedFields('invalid-command', [{ path: ['readyAreaId'], code: 'unknown', message: 'There is no ready area with this id.' }]);
      const wrong = unprintable({ name: command.name });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const areaId = command.id ?? deps.newId();
      const area = await insertTaxArea(tx, { id: areaId, code: command.code ?? ready.code, name: command.name ?? ready.name, country: ready.country, now });
      for (const { code, validFrom, validTo, source, document } of ready.rules) {
        await insertTaxRule(tx, { id: deps.newId(), tax_area_id: areaId, code, valid_from: validFrom, valid_to: validTo, document, source, reason: '', now });
      }
      for (const limit of ready.limits) await insertLimit(tx, { ...limit, id: deps.newId(), taxAreaId: areaId, now });
      return done(toTaxArea(area));
    },
    { constraints: taxAreaConstraints },
  );
}
