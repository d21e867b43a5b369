import type { Earnings, EarningsQuery } from '#contracts/earnings';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { Cell } from '#domain/earnings/cell';
import { effectsOf, type Effect } from '#domain/earnings/effects';
import { swapsWorthTrying, type Standing } from '#domain/earnings/swaps';
import { currencyDigits, type CurrencyCode } from '#domain/money/currency';
import { divideHalfUp } from '#domain/money/rounding';
import type { Caller } from '../caller';
import { writtenLanguage } from '#statement/words/languages';
import { sealFor } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { selectOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { countOtherCurrencies, selectEarned, selectStanding, type EarnedRow } from './earnings.sql';
import { modelInWords } from './model-words';

/** Fewer days say nothing of a place or a game. */
const LEAST_DAYS = 28;
const NINE_OF_TEN = 1.645;

/** Takings a day by place, cabinet and game, how places and games differ, and which games might change places. */
export function readEarnings(deps: Backoffice, caller: Caller, query: EarningsQuery): Promise<Outcome<Earnings>> {
  return perform<Earnings>(deps, caller, 'earnings.read', async (unit) => {
    const { tx } = unit;
    const { from, before } = query;
    const currency = query.currency ?? (await selectOperator(tx))?.currency;
    if (currency === undefined) throw new Error('an operator without a currency');
    const minorPerUnit = 10 ** currencyDigits(currency);
    const { sites: notSites } = await sealFor(unit, caller, { siteIds: 'every' });
    const rows = await selectEarned(tx, { from, before, currency, minorPerUnit, notSites });
    const otherCurrencies = await countOtherCurrencies(tx, { from, before, currency });
    const standing = await selectStanding(tx, currency);
    const effects = effectsOf(rows.flatMap(toCell));
    return done({
      from,
      before,
      currency,
      places: byMostADay(grouped(rows, (row) => row.site_id)).map((group) => ({
        siteId: group.first.site_id,
        siteCode: group.first.site_code,
        siteName: group.first.site_name,
        ...earnedOf(group.rows, currency),
        effect: estimateOf(effects.places.get(group.first.site_id)),
      })),
      cabinets: byMostADay(grouped(rows, (row) => row.machine_id)).map((group) => ({ machineId: group.first.machine_id, machineTag: group.first.machine_tag, kind: group.first.kind, ...earnedOf(group.rows, currency) })),
      games: byMostADay(grouped(rows.filter(({ game_id: id }) => id !== null), (row) => row.game_id ?? '')).map((group) => ({
        gameId: group.first.game_id ?? '',
        gameCode: group.first.game_code ?? '',
        title: group.first.title ?? '',
        kind: group.first.kind,
        ...earnedOf(group.rows, currency),
        effect: estimateOf(effects.games.get(group.first.game_id ?? '')),
      })),
      swaps: swapBodies({ rows, standing, currency, minorPerUnit, effects }),
      model: modelInWords[writtenLanguage(caller.language)](String(nearest(effects.priorDays))),
      leftOut: { changed: rows.filter(({ game_id: id }) => id === null).reduce((total, { intervals }) => total + intervals, 0), otherCurrencies },
      withheldSites: notSites.length,
    });
  });
}

function toCell(row: EarnedRow): Cell[] {
  if (row.game_id === null) return [];
  return [{ placeId: row.site_id, gameId: row.game_id, days: row.days, intervals: row.intervals, meanLog: row.mean_log, meanSquareLog: row.mean_square_log }];
}

type Group = { readonly first: EarnedRow; readonly rows: readonly EarnedRow[] };

function grouped(rows: readonly EarnedRow[], keyOf: (row: EarnedRow) => string): Group[] {
  return [...groupBy(rows, keyOf).values()].flatMap((group) => (group[0] === undefined ? [] : [{ first: group[0], rows: group }]));
}

function sums(rows: readonly EarnedRow[]) {
  return rows.reduce((total, row) => ({ days: total.days + row.days, minor: total.minor + row.takings_minor, earlyDays: total.earlyDays + row.early_days, earlyMinor: total.earlyMinor + row.early_minor }), {
    days: 0,
    minor: 0n,
    earlyDays: 0,
    earlyMinor: 0n,
  });
}

/** Compared as fractions, so that no amount becomes a binary one. */
function byMostADay(groups: readonly Group[]): Group[] {
  return [...groups].sort((one, other) => {
    const [first, second] = [sums(one.rows), sums(other.rows)];
    const difference = second.minor * BigInt(first.days) - first.minor * BigInt(second.days);
    return difference > 0n ? 1 : difference < 0n ? -1 : one.first.site_code < other.first.site_code ? -1 : 1;
  });
}

function earnedOf(rows: readonly EarnedRow[], currency: CurrencyCode) {
  const { days, minor, earlyDays, earlyMinor } = sums(rows);
  const [lateDays, lateMinor] = [days - earlyDays, minor - earlyMinor];
  const trend = earlyDays === 0 || lateDays === 0 || earlyMinor <= 0n ? null : Number((1000n * lateMinor * BigInt(earlyDays)) / (earlyMinor * BigInt(lateDays)) - 1000n) / 10;
  return { days, takings: moneyOf(minor, currency), perDay: moneyOf(divideHalfUp({ dividend: minor, divisor: BigInt(days) }), currency), trendPercent: trend };
}

function estimateOf(effect: Effect | undefined): Earnings['places'][number]['effect'] {
  if (effect === undefined || effect.seenWith < 2 || effect.days < LEAST_DAYS) return null;
  const percent = (log: number): number => nearest((Math.exp(log) - 1) * 1000) / 10;
  const reach = NINE_OF_TEN * effect.standardError;
  return { percent: percent(effect.effect), least: percent(effect.effect - reach), most: percent(effect.effect + reach) };
}

/** Of an estimate, never of an amount that is owed. */
function nearest(estimate: number): number {
  return Math.floor(estimate + 0.5);
}

type ToSwap = {
  readonly rows: readonly EarnedRow[];
  readonly standing: readonly { machine_id: string; site_id: string; game_id: string }[];
  readonly currency: CurrencyCode;
  readonly minorPerUnit: number;
  readonly effects: ReturnType<typeof effectsOf>;
};

function swapBodies({ rows, standing, currency, minorPerUnit, effects }: ToSwap): Earnings['swaps'] {
  const cabinets = new Map(rows.map((row) => [row.machine_id, row]));
  const places = new Map(rows.map((row) => [row.site_id, row]));
  const games = new Map(rows.map((row) => [row.game_id, row]));
  const now = standing.flatMap(({ machine_id: machineId, site_id: placeId, game_id: gameId }): Standing[] => {
    const kind = cabinets.get(machineId)?.kind;
    return kind === undefined ? [] : [{ machineId, kind, placeId, gameId }];
  });
  const side = ({ machineId, placeId, gameId }: Standing) => ({
    machineId,
    machineTag: cabinets.get(machineId)?.machine_tag ?? '',
    siteId: placeId,
    siteCode: places.get(placeId)?.site_code ?? '',
    siteName: places.get(placeId)?.site_name ?? '',
    gameId,
    title: games.get(gameId)?.title ?? '',
  });
  // An estimate becomes a rounded figure here, and goes into no sum.
  const estimated = (perDay: number) => moneyOf(BigInt(nearest(perDay * minorPerUnit)), currency);
  return swapsWorthTrying(now, effects).map(({ first, second, gainPerDay, least, most }) => ({
    first: side(first),
    second: side(second),
    gainPerDay: estimated(gainPerDay),
    least: estimated(least),
    most: estimated(most),
  }));
}
