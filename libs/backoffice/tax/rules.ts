import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { CreateTaxRule, EndTaxRule, TaxRuleListQuery, TaxRuleRecord } from '#contracts/tax';
import type { TenantTransaction } from '#database/tenant';
import type { MachineKinds } from '#domain/tax/types';
import { z } from 'zod';
import { noteRetroactive } from '../agreement/retroactive';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { unprintable } from '../printable';
import {
  insertTaxRule,
  lockTaxArea,
  selectAgreementsOfArea,
  selectRulesOverlapping,
  selectSiteInOtherCurrency,
  selectTaxArea,
  selectTaxRule,
  selectTaxRules,
  updateTaxRuleEnd,
  type TaxRuleRow,
} from './tax.sql';
import { taxRuleConstraints, toTaxRuleRecord } from './to-tax';

/**
 * Adds a dated row to a tax, a change of rate being one that ends the row before. A row that reaches into settled periods
 * is taken with a reason only, and has them settled again by difference.
 */
export async function createTaxRule(
  deps: Backoffice,
  caller: Caller,
  command: CreateTaxRule & { readonly areaId: string },
): Promise<Outcome<TaxRuleRecord>> {
  const { areaId, code, validFrom, validTo, document } = command;
  return perform(
    deps,
    caller,
    'tax-rule.create',
    async ({ tx, now }) => {
      if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
      const wrong = [...wrongInItself(command), ...(await otherCurrency(tx, command))];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);

      const id = command.id ?? deps.newId();
      const overlapping = await selectRulesOverlapping(tx, { areaId, validFrom, validTo });
      const previous = command.endsPrevious ? overlapping.find((rule) => rule.code === code && rule.valid_from < validFrom) : undefined;
      const clashing = clashes(command, overlapping.filter((rule) => rule !== previous));
      if (clashing.length > 0) return refusedFields('invalid-command', clashing);
      const reason = command.reason ?? '';
      if (previous !== undefined) await updateTaxRuleEnd(tx, { id: previous.id, validTo: validFrom, reason });
      const rule = await insertTaxRule(tx, { id, tax_area_id: areaId, code, valid_from: validFrom, valid_to: validTo, document, source: command.source, reason, now });
      const refusals = await noteRetroactive(tx, {
        agreementIds: await selectAgreementsOfArea(tx, areaId),
        from: validFrom,
        // Where the row before reached further than this one, its end is felt beyond this one's.
        before: furtherEnd(validTo, previous),
        cause: 'tax',
        sourceId: id,
        reason: command.reason,
        confirmRetroactive: command.confirmRetroactive,
        now,
      });
      return refusals.length > 0 ? refusedFields('invalid-command', refusals) : done(toTaxRuleRecord(rule));
    },
    { constraints: taxRuleConstraints },
  );
}

/** Ends a dated row of a tax that has no successor. */
export async function endTaxRule(
  deps: Backoffice,
  caller: Caller,
  command: EndTaxRule & { readonly areaId: string; readonly ruleId: string },
): Promise<Outcome<TaxRuleRecord>> {
  const { areaId, ruleId, validTo } = command;
  return perform(deps, caller, 'tax-rule.change', async ({ tx, now }) => {
    if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
    const before = await selectTaxRule(tx, { areaId, id: ruleId });
    if (before === null) return refused('not-found');
    if (before.valid_to !== null && before.valid_to <= validTo) {
      return refused('wrong-state', { detail: `The rule ended on ${before.valid_to} already.` });
    }
    if (validTo <= before.valid_from) {
      return refusedFields('invalid-command', [{ path: ['validTo'], code: 'not-after-start', message: `The rule is in force from ${before.valid_from} on.` }]);
    }
    const after = await updateTaxRuleEnd(tx, { id: ruleId, validTo, reason: command.reason ?? '' });
    const refusals = await noteRetroactive(tx, {
      agreementIds: await selectAgreementsOfArea(tx, areaId),
      from: validTo,
      before: before.valid_to,
      cause: 'tax',
      // Of its own, because the row itself may have been noted, and settled, when it was written.
      sourceId: deps.newId(),
      reason: command.reason,
      confirmRetroactive: command.confirmRetroactive,
      now,
    });
    return refusals.length > 0 ? refusedFields('invalid-command', refusals) : done(toTaxRuleRecord(after));
  });
}

const cursorSchema = z.tuple([z.string(), z.iso.date()]);

/** Dated rows of an area's taxes, by tax and date. */
export async function listTaxRules(
  deps: Backoffice,
  caller: Caller,
  query: TaxRuleListQuery & { readonly areaId: string },
): Promise<Outcome<Page<TaxRuleRecord>>> {
  return perform(deps, caller, 'tax-rule.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    if ((await selectTaxArea(tx, query.areaId)) === null) return refused('not-found');
    const rows = await selectTaxRules(tx, { areaId: query.areaId, after, limit: query.limit, on: query.on ?? null });
    return done(toPage({ rows, limit: query.limit, item: toTaxRuleRecord, keyOf: (row) => [row.code, row.valid_from] }));
  });
}

function wrongInItself({ validFrom, validTo, document }: CreateTaxRule): WrongField[] {
  const titles = [{ path: [] as (string | number)[], title: document.title }, ...document.components.map(({ title }, index) => ({ path: ['components', index], title }))];
  return [
    ...(validTo === null || validTo > validFrom ? [] : [{ path: ['validTo'], code: 'not-after-start', message: 'A rule ends after the day it begins.' }]),
    ...titles.flatMap(({ path, title }) => unprintable({ title }).map((wrong) => ({ ...wrong, path: ['document', ...path, ...wrong.path] }))),
  ];
}

async function otherCurrency(tx: TenantTransaction, { areaId, document }: CreateTaxRule & { areaId: string }): Promise<WrongField[]> {
  const site = await selectSiteInOtherCurrency(tx, { id: areaId, currency: document.currency });
  if (site === null) return [];
  return [{ path: ['document', 'currency'], code: 'other-currency', message: `Site ${site} of this area is kept in another currency.` }];
}

/** Rows that cannot be in force beside the new one: of the same tax, or a second tax inside the price of one machine. */
function clashes({ code, document }: CreateTaxRule, others: readonly TaxRuleRow[]): WrongField[] {
  return others.flatMap((other): WrongField[] => {
    const days = `${other.valid_from} to ${other.valid_to ?? 'further notice'}`;
    if (other.code === code) return [{ path: ['validFrom'], code: 'overlaps', message: `Rule ${other.code} is in force from ${days}.` }];
    if (document.method !== 'inside' || other.document.method !== 'inside') return [];
    if (!shareKind(document.machineKinds, other.document.machineKinds)) return [];
    return [{ path: ['document', 'machineKinds'], code: 'second-tax-inside', message: `Rule ${other.code}, in force from ${days}, is inside the price of the same machines.` }];
  });
}

function shareKind(one: MachineKinds, other: MachineKinds): boolean {
  return one === 'all' || other === 'all' || one.some((kind) => other.includes(kind));
}

function furtherEnd(validTo: TaxRuleRow['valid_to'], previous: TaxRuleRow | undefined): TaxRuleRow['valid_to'] {
  if (validTo === null || previous === undefined) return validTo;
  return previous.valid_to === null || previous.valid_to > validTo ? previous.valid_to : validTo;
}
