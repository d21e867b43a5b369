import type { TaxArea, TaxRuleRecord } from '#contracts/tax';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';
import type { TaxAreaRow, TaxRuleRow } from './tax.sql';

/** A stored tax area as the API shows it. */
export function toTaxArea(row: TaxAreaRow): TaxArea {
  return { id: row.id, code: row.code, name: row.name, country: row.country, revision: row.revision };
}

/** A stored dated row of a tax as the API shows it. */
export function toTaxRuleRecord(row: TaxRuleRow): TaxRuleRecord {
  return {
    id: row.id,
    taxAreaId: row.tax_area_id,
    code: row.code,
    validFrom: row.valid_from,
    validTo: row.valid_to,
    source: row.source,
    document: row.document,
  };
}

type Constraints = NonNullable<PerformOptions<unknown>['constraints']>;

export const taxAreaConstraints: Constraints = {
  tax_area_pkey: taken(['id'], 'a tax area with this id'),
  tax_area_tenant_id_code_key: taken(['code'], 'a tax area with this code'),
};

export const taxRuleConstraints: Constraints = {
  tax_rule_pkey: taken(['id'], 'a tax rule with this id'),
  tax_rule_once_a_day: fieldFailure('invalid-command', { path: ['validFrom'], code: 'overlaps', message: 'Another row of this tax is in force on one of these days.' }),
};
