import type { FiledFigures, TaxWorksheet } from '#contracts/tax-return';
import { csvTable } from '../csv';

/** Columns of the worksheet (RFC 4180). Amounts are strict decimals with a point; `level` says what a line adds up. */
const columns = ['level', 'area', 'month', 'tax_code', 'tax_title', 'component', 'site', 'site_name', 'machine', 'machine_kind', 'cause', 'currency', 'base', 'tax', 'booked'] as const;

type Cells = { readonly [column in (typeof columns)[number]]?: string };

/** The bytes of a worksheet: the total, what of the filed tax is paid and open, components, sites, machines, and the lines of the difference. */
export function worksheetCsv(figures: FiledFigures, authority: TaxWorksheet['authority']): string {
  const rules = new Map(figures.rules.map((rule) => [rule.ruleId, rule]));
  const tax = (ruleId: string, componentId: string): Cells => {
    const rule = rules.get(ruleId);
    const component = rule?.components.find((candidate) => candidate.componentId === componentId);
    return { tax_code: rule?.code ?? '', tax_title: rule?.title ?? '', component: component?.title ?? componentId };
  };
  const lines: Cells[] = [
    { level: 'total', tax: figures.tax.amount, booked: figures.booked.amount },
    { level: 'paid', tax: authority.paid.amount },
    { level: 'open', tax: authority.open.amount },
    ...figures.rules.flatMap((rule) =>
      rule.components.map((each) => ({ level: 'component', ...tax(rule.ruleId, each.componentId), base: each.base.amount, tax: each.tax.amount })),
    ),
    ...figures.sites.flatMap((site) => {
      const named = { site: site.siteCode, site_name: site.siteName };
      return [
        { level: 'site', ...named, tax: site.tax.amount, booked: site.booked.amount },
        ...site.components.map((each) => ({ level: 'site-component', ...named, ...tax(each.ruleId, each.componentId), base: each.base.amount, tax: each.tax.amount })),
      ];
    }),
    ...figures.machines.map((row) => ({
      level: 'machine',
      ...tax(row.ruleId, row.componentId),
      site: row.siteCode,
      machine: row.machineTag,
      machine_kind: row.machineKind,
      base: row.base.amount,
      tax: row.tax.amount,
    })),
    ...figures.differences.map((each) => ({ level: 'difference', cause: each.cause, site: each.siteCode ?? '', tax_code: rules.get(each.ruleId ?? '')?.code ?? '', tax: each.amount.amount })),
  ];
  const common = { area: figures.areaCode, month: figures.month, currency: figures.currency };
  return csvTable({ columns, numbers: ['base', 'tax', 'booked'] }, lines.map((cells) => ({ ...common, ...cells })));
}
