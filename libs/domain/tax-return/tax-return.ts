/** Computes the return of a month, and why it differs from what settlements booked. */
import { sumOf, type RuleTax } from '#domain/settlement/component-tax';
import { coversKind } from '#domain/tax/kinds';
import type { TaxRule } from '#domain/tax/types';
import { dueInMonth, fallsDue } from '#domain/tax-return/falling-due';
import { siteBases } from '#domain/tax-return/month-bases';
import { figuresOf, taxOf, unboundedTax, type RuleGround } from '#domain/tax-return/rule-figures';
import type { ReturnComponent, ReturnDifference, ReturnFacts, ReturnRow, RuleReturn, SiteFacts, TaxReturn } from '#domain/tax-return/types';

export function taxReturn(facts: ReturnFacts): TaxReturn {
  const carried = new Map(facts.carriedIn);
  const parts = [...facts.rules].sort(byStart).map((rule) => {
    const part = rulePart(facts, rule, carried.get(rule.taxId) ?? 0n);
    carried.set(rule.taxId, part.figures.carriedOutMinor);
    return part;
  });
  const rules = parts.map((part) => part.figures);
  return {
    rules,
    rows: parts.flatMap((part) => part.rows),
    taxMinor: sumOf(rules, (rule) => rule.taxMinor),
    bookedMinor: sumOf(facts.sites, (site) => site.bookedMinor),
    differences: [...parts.flatMap(betweenSums), ...facts.sites.flatMap((site) => atSite(site, parts))].filter(({ amountMinor }) => amountMinor !== 0n),
  };
}

interface SitePart {
  readonly taxMinor: bigint;
  readonly unboundedMinor: bigint;
  /** Of what numbered settlements have taken in. */
  readonly settledMinor: bigint;
}

interface RulePart {
  readonly figures: RuleReturn;
  readonly rows: readonly ReturnRow[];
  readonly unboundedMinor: bigint;
  readonly bySite: ReadonlyMap<string, SitePart>;
}

/** A tax carries on from its earlier row to its later one. */
function byStart(first: TaxRule, second: TaxRule): number {
  if (first.from !== second.from) return first.from < second.from ? -1 : 1;
  return first.id < second.id ? -1 : 1;
}

function rulePart(facts: ReturnFacts, rule: TaxRule, carriedInMinor: bigint): RulePart {
  const { month } = facts;
  const grounds = facts.sites.map((site) => ({ site, ...groundsAt(facts, rule, site) }));
  const ground: RuleGround = { bases: grounds.flatMap(({ known }) => known.bases), due: grounds.flatMap(({ known }) => known.due) };
  const siteIds = fallsDue(rule)
    ? grounds.flatMap(({ site, known }) => known.due.map(() => site.siteId))
    : grounds.flatMap(({ site, known }) => known.bases.map(() => site.siteId));
  const tax = figuresOf({ rule, month, ground, carriedMinor: carriedInMinor });
  const rows = rowsOf(rule, tax, siteIds);
  return {
    figures: {
      rule,
      baseMinor: tax.baseMinor,
      taxableMinor: tax.taxable === null ? null : tax.taxable.minor,
      taxMinor: taxOf(tax),
      carriedInMinor,
      carriedOutMinor: tax.carriedMinor,
      components: tax.components.map((component): ReturnComponent => ({
        componentId: component.id,
        title: component.title,
        baseMinor: sumOf(rows, (row) => (row.componentId === component.id ? row.baseMinor : 0n)),
        taxMinor: component.amountMinor,
      })),
    },
    rows,
    unboundedMinor: unboundedTax({ rule, month, ground }),
    bySite: new Map(grounds.map(({ site, known, settled }) => [site.siteId, sitePart({ rule, month, known, settled })])),
  };
}

function sitePart({ rule, month, known, settled }: { rule: TaxRule; month: ReturnFacts['month']; known: RuleGround; settled: RuleGround }): SitePart {
  const alone = (ground: RuleGround): bigint => taxOf(figuresOf({ rule, month, ground, carriedMinor: 0n }));
  return { taxMinor: alone(known), unboundedMinor: unboundedTax({ rule, month, ground: known }), settledMinor: alone(settled) };
}

/** What the rule looks at in one site: by all that is known, and by what has been settled. */
function groundsAt(facts: ReturnFacts, rule: TaxRule, site: SiteFacts): { known: RuleGround; settled: RuleGround } {
  const { month, rules, standing, operatorFiles } = facts;
  if (fallsDue(rule)) {
    const due = dueInMonth(rule, { month, standing }).filter(({ siteId, on }) => siteId === site.siteId && operatorFiles(rule, { siteId, on }));
    const settled = due.filter(({ on }) => site.settled.some(({ period }) => period.from <= on && on < period.until));
    return { known: { bases: [], due }, settled: { bases: [], due: settled } };
  }
  const files = (on: SiteFacts['known'][number]['period']['from']): boolean => operatorFiles(rule, { siteId: site.siteId, on });
  const ground = (periods: SiteFacts['known']): RuleGround => ({ bases: siteBases(rule, { month, periods, rules, files }), due: [] });
  return { known: ground(site.known), settled: ground(site.settled) };
}

/** Site ids stand in the order of the tax's machines. */
function rowsOf(rule: TaxRule, tax: RuleTax, siteIds: readonly string[]): ReturnRow[] {
  return tax.components.flatMap((component, index) => {
    const kinds = rule.method === 'on-takings' ? (rule.components[index]?.machineKinds ?? 'all') : 'all';
    return tax.bases.flatMap(({ machine, baseMinor }, position): ReturnRow[] => {
      if (!coversKind(kinds, machine.kind)) return [];
      const taxMinor = component.byMachine[position] ?? 0n;
      return [{ ruleId: rule.id, componentId: component.id, siteId: siteIds[position] ?? '', machine, baseMinor: rule.method === 'fixed' ? 0n : baseMinor, taxMinor }];
    });
  });
}

/** What one sum over all sites makes of rounding and of bases below zero. */
function betweenSums({ figures, unboundedMinor, bySite }: RulePart): ReturnDifference[] {
  const sites = [...bySite.values()];
  const about = { ruleId: figures.rule.id, siteId: null };
  const givenBack = sumOf(sites, (site) => site.taxMinor - site.unboundedMinor);
  return [
    { cause: 'rounding', ...about, amountMinor: unboundedMinor - sumOf(sites, (site) => site.unboundedMinor) },
    { cause: 'negative-bases', ...about, amountMinor: figures.taxMinor - unboundedMinor - givenBack },
  ];
}

function atSite(site: SiteFacts, parts: readonly RulePart[]): ReturnDifference[] {
  const own = parts.flatMap((part) => part.bySite.get(site.siteId) ?? []);
  const [tax, settled] = [sumOf(own, (part) => part.taxMinor), sumOf(own, (part) => part.settledMinor)];
  const about = { ruleId: null, siteId: site.siteId };
  return [
    { cause: 'not-settled', ...about, amountMinor: tax - settled },
    { cause: site.byMonth ? 'settled-otherwise' : 'timing', ...about, amountMinor: settled - site.bookedMinor },
  ];
}
