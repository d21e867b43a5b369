import type { LawLimitDocument, LawLimitRecord } from '#contracts/law-limit';
import type { PerformOptions } from '../perform';
import { fieldFailure, taken } from '../refusal';
import type { LawLimitRow } from './limit.sql';

/** A stored limit of the law as the API shows it. */
export function toLimitRecord(row: LawLimitRow): LawLimitRecord {
  return { id: row.id, taxAreaId: row.tax_area_id, validFrom: row.valid_from, validTo: row.valid_to, source: row.source, document: documentOf(row) };
}

function documentOf({ kind, site_percent: sitePercent, operator_percent: operatorPercent }: LawLimitRow): LawLimitDocument {
  switch (kind) {
    case 'no-advances':
      return { kind };
    case 'highest-site-share':
      if (sitePercent === null) throw new Error('a highest share without its percentage');
      return { kind, percent: sitePercent };
    case 'fixed-split':
      if (sitePercent === null || operatorPercent === null) throw new Error('a fixed split without its percentages');
      return { kind, operatorPercent, sitePercent };
  }
}

export const limitConstraints: NonNullable<PerformOptions<unknown>['constraints']> = {
  law_limit_pkey: taken(['id'], 'a limit with this id'),
  law_limit_once_a_day: fieldFailure('invalid-command', { path: ['validFrom'], code: 'overlaps', message: 'Another limit of this kind is in force on one of these days.' }),
};
