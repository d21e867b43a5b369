import { createHash } from 'node:crypto';
import { moneyOf, type Money } from '#contracts/money';
import type { FiledFigures } from '#contracts/tax-return';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { taxReturn } from '#domain/tax-return/tax-return';
import type { ReturnRow, RuleReturn, TaxReturn } from '#domain/tax-return/types';
import { groupBy } from '../settlement/inputs/group-by';
import type { TaxAreaRow } from '../tax/tax.sql';
import type { LoadedMonth } from './facts';
import { differenceWords } from './words';

export type Computed = { readonly figures: FiledFigures; readonly result: TaxReturn; readonly digest: Buffer };

/** The figures of a month as the API shows and stores them, and the digest by which it is told whether they have changed. */
export function figuresFrom(loaded: LoadedMonth, area: TaxAreaRow): Computed {
  const { facts, currency } = loaded;
  const result = taxReturn(facts);
  const money = (minor: bigint): Money => moneyOf(minor, currency);
  const siteCodes = new Map(loaded.sites.map((site) => [site.id, site.code]));
  const rowsOfSite = groupBy(result.rows, (row) => row.siteId);
  const booked = new Map(facts.sites.map((site) => [site.siteId, site.bookedMinor]));
  const figures: FiledFigures = {
    taxAreaId: area.id,
    areaCode: area.code,
    areaName: area.name,
    month: facts.month.from.slice(0, 7),
    currency,
    tax: money(result.taxMinor),
    booked: money(result.bookedMinor),
    difference: money(result.taxMinor - result.bookedMinor),
    rules: result.rules.map((rule) => ruleBody(rule, loaded, money)),
    sites: loaded.sites.flatMap(({ id, code, name }) => {
      const rows = rowsOfSite.get(id) ?? [];
      const bookedMinor = booked.get(id) ?? 0n;
      if (rows.length === 0 && bookedMinor === 0n) return [];
      return [{ siteId: id, siteCode: code, siteName: name, tax: money(sumOfTax(rows)), booked: money(bookedMinor), components: componentsOf(rows, money) }];
    }),
    machines: result.rows.map((row) => ({
      siteId: row.siteId,
      siteCode: siteCodes.get(row.siteId) ?? '',
      machineId: row.machine.id,
      machineTag: row.machine.tag,
      machineKind: row.machine.kind,
      ...componentFigures(row.ruleId, row.componentId, [row], money),
    })),
    differences: result.differences.map(({ cause, siteId, ruleId, amountMinor }) => ({
      cause,
      text: differenceWords[cause],
      siteId,
      siteCode: siteId === null ? null : (siteCodes.get(siteId) ?? null),
      ruleId,
      amount: money(amountMinor),
    })),
  };
  return { figures, result, digest: createHash('sha256').update(canonicalJson(figures), 'utf8').digest() };
}

function ruleBody({ rule, ...figures }: RuleReturn, { codes }: LoadedMonth, money: (minor: bigint) => Money): FiledFigures['rules'][number] {
  return {
    ruleId: rule.id,
    code: codes.get(rule.id) ?? '',
    title: rule.title,
    source: rule.source,
    method: rule.method,
    base: money(figures.baseMinor),
    taxable: figures.taxableMinor === null ? null : money(figures.taxableMinor),
    tax: money(figures.taxMinor),
    carriedIn: money(figures.carriedInMinor),
    carriedOut: money(figures.carriedOutMinor),
    components: figures.components.map(({ componentId, title, baseMinor, taxMinor }) => ({ ruleId: rule.id, componentId, title, base: money(baseMinor), tax: money(taxMinor) })),
  };
}

function componentsOf(rows: readonly ReturnRow[], money: (minor: bigint) => Money): FiledFigures['sites'][number]['components'] {
  return [...groupBy(rows, (row) => JSON.stringify([row.ruleId, row.componentId])).values()].flatMap((own) => {
    const [first] = own;
    return first === undefined ? [] : [componentFigures(first.ruleId, first.componentId, own, money)];
  });
}

function componentFigures(ruleId: string, componentId: string, rows: readonly ReturnRow[], money: (minor: bigint) => Money) {
  return { ruleId, componentId, base: money(rows.reduce((sum, row) => sum + row.baseMinor, 0n)), tax: money(sumOfTax(rows)) };
}

function sumOfTax(rows: readonly ReturnRow[]): bigint {
  return rows.reduce((sum, row) => sum + row.taxMinor, 0n);
}
