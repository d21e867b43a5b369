import { toTaxRule } from '#contracts/tax';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import type { PeriodInputs } from '#domain/settlement/inputs';
import { fallsDue } from '#domain/tax-return/falling-due';
import type { ReturnFacts, StandingMachine } from '#domain/tax-return/types';
import type { TaxRule } from '#domain/tax/types';
import { OPERATOR } from '../agreement/check-terms';
import { groupBy } from '../settlement/inputs/group-by';
import { loadInputs } from '../settlement/inputs/load';
import { obstacles, type Obstacle, type ObstacleCode } from '../settlement/inputs/obstacle';
import { readInputs } from '../settlement/inputs/stored';
import { selectRulesOverlapping } from '../tax/tax.sql';
import { readBooked, readPeriodIds, readSettledInputs, readSites, readStanding, readTermsOfSites, type MonthOfArea, type SiteRow, type TermsRow } from './facts.sql';
import { selectCarried } from './return.sql';

/** What the tax of a month is computed from, with the names that it is shown under. */
export type LoadedMonth = {
  readonly facts: ReturnFacts;
  readonly sites: readonly SiteRow[];
  readonly codes: ReadonlyMap<string, string>;
  readonly currency: CurrencyCode;
};

/** What concerns the order of settlements is nothing to the return: it takes what is in the books. */
const overlooked = (Object.keys(obstacles) as ObstacleCode[]).filter((code) => code !== 'terms-missing' && code !== 'cannot-be-computed');

/** Periods per query: their facts are held in memory together. */
const BATCH_SIZE = 500;

/**
 * Reads everything that is known of an area and month: a fixed number of queries for any number of sites, and those of a
 * settlement for each batch of periods, so that return and settlement cannot read differently.
 */
export async function loadMonth(tx: TenantTransaction, month: MonthOfArea): Promise<LoadedMonth | { readonly obstacle: Obstacle } | 'no-tax'> {
  const ruleRows = await selectRulesOverlapping(tx, { areaId: month.areaId, validFrom: month.from, validTo: month.until });
  const currency = ruleRows[0]?.document.currency;
  if (currency === undefined || !isCurrencyCode(currency)) return 'no-tax';
  const rules = ruleRows.map((row) => toTaxRule({ ...row, taxAreaId: row.tax_area_id, validFrom: row.valid_from, validTo: row.valid_to }));
  const known = await readKnown(tx, month);
  if (!(known instanceof Map)) return known;
  const sites = await readSites(tx, month.areaId);
  const settled = await readSettled(tx, month);
  const booked = await readBooked(tx, { ...month, operator: OPERATOR });
  const terms = groupBy(await readTermsOfSites(tx, month), (row) => row.site_id);
  return {
    sites,
    currency,
    codes: new Map(ruleRows.map((row) => [row.id, row.code])),
    facts: {
      month: { from: month.from, until: month.until },
      rules,
      sites: sites.map(({ id, code }) => ({
        siteId: id,
        siteCode: code,
        known: known.get(id) ?? [],
        settled: settled.get(id) ?? [],
        bookedMinor: booked.get(id) ?? 0n,
        byMonth: (terms.get(id) ?? []).every((row) => row.cycle === 'month'),
      })),
      standing: rules.some(fallsDue) ? await standingMachines(tx, month) : [],
      operatorFiles: (rule, { siteId, on }) => operatorFiles(rule, terms.get(siteId) ?? [], on),
      carriedIn: await selectCarried(tx, { areaId: month.areaId, month: month.from }),
    },
  };
}

async function readKnown(tx: TenantTransaction, month: MonthOfArea): Promise<Map<string, PeriodInputs[]> | { readonly obstacle: Obstacle }> {
  const periodIds = await readPeriodIds(tx, month);
  const known: { siteId: string; inputs: PeriodInputs }[] = [];
  for (let start = 0; start < periodIds.length; start += BATCH_SIZE) {
    for (const { target, from } of await loadInputs(tx, periodIds.slice(start, start + BATCH_SIZE), { overlook: overlooked, alone: true })) {
      if ('obstacle' in from) return { obstacle: { ...from.obstacle, message: `${target.site_code}: ${from.obstacle.message}` } };
      known.push({ siteId: target.site_id, inputs: from.inputs.current });
    }
  }
  return new Map([...groupBy(known, ({ siteId }) => siteId)].map(([siteId, list]) => [siteId, list.map(({ inputs }) => inputs)]));
}

/** The periods of each site as they were settled last. */
async function readSettled(tx: TenantTransaction, month: MonthOfArea): Promise<ReadonlyMap<string, PeriodInputs[]>> {
  const bySite = new Map<string, Map<string, PeriodInputs>>();
  for (const row of await readSettledInputs(tx, month)) {
    const { current, earlier } = readInputs(row.inputs);
    const periods = bySite.get(row.site_id) ?? new Map<string, PeriodInputs>();
    for (const inputs of [...earlier.map((each) => each.inputs), current]) periods.set(inputs.period.id, inputs);
    bySite.set(row.site_id, periods);
  }
  return new Map([...bySite].map(([siteId, periods]) => [siteId, [...periods.values()]]));
}

async function standingMachines(tx: TenantTransaction, month: MonthOfArea): Promise<StandingMachine[]> {
  const machines = groupBy(await readStanding(tx, month), (row) => row.machine_id);
  return [...machines.values()].flatMap((rows): StandingMachine[] => {
    const [first] = rows;
    if (first === undefined) return [];
    const placements = rows.map((row) => ({ id: row.placement_id, from: row.placed_on, until: row.removed_on }));
    return [{ machine: { id: first.machine_id, tag: first.tag, kind: first.kind, placements }, siteOf: new Map(rows.map((row) => [row.placement_id, row.site_id])) }];
  });
}

/** The terms of the day may settle who files; the first ones also hold for the days before them. */
function operatorFiles(rule: TaxRule, terms: readonly TermsRow[], on: LocalDate): boolean {
  const row = terms.filter(({ effective_from: from }) => from <= on).at(-1) ?? terms[0];
  const filedBy = row === undefined || row.filed_by === 'as-the-rule-says' ? rule.filedBy : row.filed_by;
  return filedBy === 'operator';
}
