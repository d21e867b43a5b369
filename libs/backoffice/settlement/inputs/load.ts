import { toLawLimit } from '#contracts/law-limit';
import { toTaxRule, type TaxRuleDocument } from '#contracts/tax';
import { toTerms, type TermsDocument } from '#contracts/terms';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { checkInputs } from '#domain/settlement/check-inputs';
import type { CountInput, SettlementInputs } from '#domain/settlement/inputs';
import type { LawLimit, TaxRule } from '#domain/tax/types';
import { selectLimitsWithin } from '../../tax/limit.sql';
import { toLimitRecord } from '../../tax/to-limit';
import { aboutInputs } from './about-inputs';
import { settlementInputs, type PeriodFacts } from './assemble';
import {
  readCounts,
  readHandedCash,
  readMachineRecords,
  readPlacements,
  readPreviousCounts,
  readSlips,
  readTaxRules,
  readVersions,
  type HandedRow,
  type VersionRow,
  type Window,
} from './facts.sql';
import { readHistories, type History } from './history';
import { obstacle, obstacleTo, type Obstacle, type ObstacleCode } from './obstacle';
import { nothingCarried, readCarries } from './stored';
import { readLateChanges, readTargets, type LateRow, type TargetRow } from './targets.sql';
import { groupBy } from './group-by';
import { untoldBoxes } from '../../collection/unmetered';
import { withMeteredAmounts } from './by-meters';
import { isAfterEnd, kindOf, ownDays } from './own-days';

/** A period with the inputs of its settlement, or with the reason why there are none. */
export type Loaded = {
  readonly target: TargetRow;
  /** Changes in numbered periods that this settlement takes in. */
  readonly lateChangeIds: readonly string[];
  /** Payments on account that it sets off. */
  readonly onAccountIds: readonly string[];
  readonly from: { readonly inputs: SettlementInputs } | { readonly obstacle: Obstacle };
};

/**
 * Reads everything that the settlements of some periods are computed from: ten queries for any number of periods, two
 * more when something changed in numbered ones. The caller holds the periods' locks if it is going to write. Who only looks
 * may overlook obstacles and see what the figures are in spite of them. `alone`: without what changed in numbered periods, which the next settlement
 * of an agreement takes in; so are several periods of one agreement read at once.
 */
export async function loadInputs(tx: TenantTransaction, periodIds: readonly string[], options: { overlook?: readonly ObstacleCode[]; alone?: boolean } = {}): Promise<Loaded[]> {
  const targets = await readTargets(tx, periodIds);
  // Before any count is read: a change that comes in between is then read but not claimed, and the next settlement finds
  // no difference. The other way round it would be claimed but not read, and lost.
  const changes = options.alone === true ? [] : await readLateChanges(tx, targets);
  const late = new Map(changes.map((row) => [row.agreement_id, row]));
  const histories = await readHistories(tx, { targets, late });
  const versions = groupBy(await readVersions(tx, targets.map((target) => target.agreement_id)), (row) => row.agreement_id);

  const requests: Request[] = [];
  const blocked = new Map<string, Obstacle>();
  for (const target of targets) {
    const own = versions.get(target.agreement_id) ?? [];
    const found = obstacleTo(target, own.length > 0);
    if (found === undefined || options.overlook?.includes(found.code) === true) requests.push({ target, versions: own, late: late.get(target.agreement_id), history: histories.get(target.agreement_id) });
    else blocked.set(target.period_id, found);
  }
  const documents = await inputsOf(tx, requests);
  const loaded: Loaded[] = [];
  for (const target of targets) {
    loaded.push({
      target,
      lateChangeIds: late.get(target.agreement_id)?.late_change_ids ?? [],
      onAccountIds: target.on_account.map((row) => row.id),
      from: await outcomeOf(tx, { inputs: documents.get(target.period_id), blocked: blocked.get(target.period_id) }),
    });
  }
  return loaded;
}

async function outcomeOf(tx: TenantTransaction, { inputs, blocked }: { readonly inputs: SettlementInputs | undefined; readonly blocked: Obstacle | undefined }): Promise<Loaded['from']> {
  if (inputs !== undefined) {
    const [problem] = checkInputs(inputs);
    if (problem === undefined) return { inputs };
    if (problem.code !== 'metered-amount-missing') return { obstacle: obstacle('cannot-be-computed', aboutInputs(problem, inputs)) };
    const collectionIds = [...new Set([inputs.current, ...inputs.earlier.map((earlier) => earlier.inputs)].flatMap(({ counts }) => counts.filter(isUnsaid).map(({ collectionId }) => collectionId)))];
    const boxes = await untoldBoxes(tx, collectionIds);
    return { obstacle: { ...obstacle('cannot-be-computed', aboutInputs(problem, inputs, boxes)), boxes, collectionIds } };
  }
  if (blocked === undefined) throw new Error('a period was neither loaded nor refused');
  return { obstacle: blocked };
}

const isUnsaid = ({ meteredMinor }: CountInput): boolean => meteredMinor === null;

type Request = {
  readonly target: TargetRow;
  readonly versions: readonly VersionRow[];
  readonly late: LateRow | undefined;
  readonly history: History | undefined;
};

/**
 * A period of a request; the first of each request is the one that is settled now. `place` counts all windows of the batch
 * from 1, which is how their facts are told apart. `days` are the period's own, the window those in which facts are looked for.
 */
type PlacedWindow = Window & { readonly periodId: string; readonly place: bigint; readonly days: ReturnType<typeof ownDays> };

/** A period after the agreement's end has no facts of its own: what happens at the site belongs to the next agreement. */
const nowhen = { from: '0001-01-01', before: '0001-01-01' } as const;

async function inputsOf(tx: TenantTransaction, requests: readonly Request[]): Promise<ReadonlyMap<string, SettlementInputs>> {
  if (requests.length === 0) return new Map();
  const windows = placedWindows(requests);
  const byMeters = new Set(requests.flatMap(({ versions }, index) => (versions.some(({ terms }) => (terms as TermsDocument).basis === 'metered') ? (windows[index] ?? []).map(({ place }) => place) : [])));
  const facts = await readFacts(tx, windows.flat(), byMeters);
  const rules = await readRules(tx, { windows: windows.flat(), taxAreaIds: requests.map(({ target }) => target.tax_area_id) });
  const limits = await readLimits(tx, { windows: windows.flat(), taxAreaIds: requests.map(({ target }) => target.tax_area_id) });
  const handed = await readHanded(tx, requests, windows);
  return new Map(
    requests.map((request, index) => {
      const { target, history } = request;
      const [current, ...past] = (windows[index] ?? []).map((window) => periodFacts(window, facts));
      if (current === undefined) throw new Error('a period without a window');
      const carried = target.previous_carries === null ? nothingCarried : readCarries(target.previous_carries);
      const inputs = settlementInputs({
        agreementId: target.agreement_id,
        siteId: target.site_id,
        currency: target.currency as CurrencyCode,
        kind: kindOf(target),
        agreement: {
          versions: request.versions.map((row) => ({ id: row.id, startsOn: row.effective_from as LocalDate, terms: toTerms(row.terms as TermsDocument) })),
          taxRules: rules.get(target.tax_area_id) ?? [],
          limits: limits.get(target.tax_area_id) ?? [],
        },
        current,
        earlier: past.map((period, at) => ({ facts: period, issued: history?.periods[at]?.issued ?? [] })),
        carriesIn: history?.carriesIn ?? carried.period,
        carriedItems: carried.items,
        handedCash: handed.get(windows[index]?.[0]?.place ?? 0n) ?? [],
        onAccount: target.on_account,
        advances: target.open_advances,
      });
      return [target.period_id, inputs];
    }),
  );
}

function placedWindows(requests: readonly Request[]): PlacedWindow[][] {
  let place = 0n;
  const window = (target: TargetRow, period: { period_id: string; starts_on: string; ends_before: string }): PlacedWindow => {
    place += 1n;
    const days = ownDays(target, period);
    return { siteId: target.site_id, periodId: period.period_id, place, days, ...(isAfterEnd(target, period) ? nowhen : days) };
  };
  return requests.map(({ target, history }) => [window(target, target), ...(history?.periods ?? []).map(({ row }) => window(target, row))]);
}

type Facts = {
  readonly placements: ReadonlyMap<bigint, PeriodFacts['placements']>;
  readonly counts: ReadonlyMap<bigint, PeriodFacts['counts']>;
  readonly slips: ReadonlyMap<bigint, PeriodFacts['slips']>;
  readonly records: ReadonlyMap<bigint, PeriodFacts['records']>;
  readonly previousCountOn: ReadonlyMap<string, LocalDate>;
};

/** `byMeters`: places of the windows whose terms go by the meters. */
async function readFacts(tx: TenantTransaction, windows: readonly PlacedWindow[], byMeters: ReadonlySet<bigint>): Promise<Facts> {
  const read = await readCounts(tx, windows);
  const metered = await withMeteredAmounts(tx, read.filter((row) => byMeters.has(row.window)));
  const counts = [...read.filter((row) => !byMeters.has(row.window)), ...metered];
  const slips = await readSlips(tx, windows);
  const records = await readMachineRecords(tx, windows);
  const also = [...counts, ...slips, ...records].map((row) => ({ window: row.window, placementId: row.placement_id }));
  const placements = await readPlacements(tx, { windows, also });
  const siteOf = new Map(windows.map((window) => [window.place, window.siteId]));
  // Counts come by placement, oldest first, so the first of each decides from when on it covers days.
  const firsts = new Map<string, { window: bigint; placementId: string; siteId: string; before: string }>();
  for (const row of counts) {
    const key = previousKey(row.window, row.placement_id);
    if (!firsts.has(key)) firsts.set(key, { window: row.window, placementId: row.placement_id, siteId: siteOf.get(row.window) ?? '', before: row.local_date });
  }
  const previous = await readPreviousCounts(tx, [...firsts.values()]);
  return {
    placements: groupBy(placements, (row) => row.window),
    counts: groupBy(counts, (row) => row.window),
    slips: groupBy(slips, (row) => row.window),
    records: groupBy(records, (row) => row.window),
    previousCountOn: new Map(previous.map((row) => [previousKey(row.window, row.placement_id), row.local_date as LocalDate])),
  };
}

function previousKey(window: bigint, placementId: string): string {
  return `${window}/${placementId}`;
}

function periodFacts(window: PlacedWindow, facts: Facts): PeriodFacts {
  return {
    periodId: window.periodId,
    from: window.days.from,
    until: window.days.before,
    placements: facts.placements.get(window.place) ?? [],
    counts: facts.counts.get(window.place) ?? [],
    slips: facts.slips.get(window.place) ?? [],
    records: facts.records.get(window.place) ?? [],
    previousCountOn: (placementId) => facts.previousCountOn.get(previousKey(window.place, placementId)),
  };
}

async function readRules(tx: TenantTransaction, query: AreasWithin): Promise<ReadonlyMap<string, TaxRule[]>> {
  const rows = await readTaxRules(tx, rangeOf(query));
  const byArea = new Map<string, TaxRule[]>();
  for (const row of rows) {
    const rule = toTaxRule({
      id: row.id,
      taxAreaId: row.tax_area_id,
      code: row.code,
      validFrom: row.valid_from as LocalDate,
      validTo: row.valid_to as LocalDate | null,
      source: row.source,
      document: row.document as TaxRuleDocument,
    });
    byArea.set(row.tax_area_id, [...(byArea.get(row.tax_area_id) ?? []), rule]);
  }
  return byArea;
}

async function readLimits(tx: TenantTransaction, query: AreasWithin): Promise<ReadonlyMap<string, LawLimit[]>> {
  const limits = (await selectLimitsWithin(tx, rangeOf(query))).map((row) => toLawLimit(toLimitRecord(row)));
  return groupBy(limits, (limit) => limit.areaId);
}

type AreasWithin = { readonly windows: readonly PlacedWindow[]; readonly taxAreaIds: readonly string[] };

/** The areas once each, and the days from the first of the windows to their last. */
function rangeOf({ windows, taxAreaIds }: AreasWithin): { taxAreaIds: string[]; from: string; before: string } {
  const days = windows.flatMap(({ days: own }) => [own.from, own.before]).sort();
  return { taxAreaIds: [...new Set(taxAreaIds)], from: days[0] ?? '', before: days.at(-1) ?? '' };
}

async function readHanded(
  tx: TenantTransaction,
  requests: readonly Request[],
  windows: readonly (readonly PlacedWindow[])[],
): Promise<ReadonlyMap<bigint, HandedRow[]>> {
  const own = windows.flatMap((each) => each.slice(0, 1));
  const also = requests.flatMap(({ late }, index) => {
    const window = own[index]?.place ?? 0n;
    return (late?.collection_ids ?? []).map((collectionId) => ({ window, collectionId }));
  });
  const corrected = requests.flatMap(({ late }, index) => {
    const window = own[index]?.place ?? 0n;
    return (late?.handed_ids ?? []).map((handedId) => ({ window, handedId }));
  });
  return groupBy(await readHandedCash(tx, { windows: own, also, corrected }), (row) => row.window);
}
