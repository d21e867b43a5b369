import type { Earnings, EarningsQuery } from '#contracts/earnings';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import { csvTable } from '../csv';
import type { Backoffice } from '../dependencies';
import { readEarnings } from './read';

/** Columns of the file (RFC 4180). Amounts are strict decimals with a point; an effect is above or below average in per cent, with its range. */
const columns = ['what', 'code', 'name', 'kind', 'days', 'currency', 'takings', 'per_day', 'trend_percent', 'effect_percent', 'effect_least', 'effect_most', 'with_code', 'with_name', 'gain_per_day', 'gain_least', 'gain_most'] as const;
const numbers = ['days', 'takings', 'per_day', 'trend_percent', 'effect_percent', 'effect_least', 'effect_most', 'gain_per_day', 'gain_least', 'gain_most'] as const;

/** The same as on screen, as CSV: a line per place, cabinet, game and swap. */
export async function exportEarnings(deps: Backoffice, caller: Caller, query: EarningsQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  const read = await readEarnings(deps, caller, query);
  if (!read.ok) return read;
  const { places, cabinets, games, swaps, currency } = read.value;
  const csv = csvTable({ columns, numbers }, [
    ...places.map((place) => ({ what: 'place', code: place.siteCode, name: place.siteName, ...earned(place), ...effectOf(place) })),
    ...cabinets.map((cabinet) => ({ what: 'cabinet', code: cabinet.machineTag, kind: cabinet.kind, ...earned(cabinet) })),
    ...games.map((game) => ({ what: 'game', code: game.gameCode, name: game.title, kind: game.kind, ...earned(game), ...effectOf(game) })),
    ...swaps.map(({ first, second, gainPerDay, least, most }) => ({
      what: 'swap', code: first.machineTag, name: `${first.title}, ${first.siteName}`, currency, with_code: second.machineTag, with_name: `${second.title}, ${second.siteName}`,
      gain_per_day: gainPerDay.amount, gain_least: least.amount, gain_most: most.amount,
    })),
  ]);
  return done({ bytes: Buffer.from(csv), fileName: `earnings-${query.from}-before-${query.before}.csv` });
}

function earned({ days, takings, perDay, trendPercent }: Pick<Earnings['cabinets'][number], 'days' | 'takings' | 'perDay' | 'trendPercent'>) {
  return { days, currency: takings.currency, takings: takings.amount, per_day: perDay.amount, trend_percent: trendPercent };
}

function effectOf({ effect }: Pick<Earnings['places'][number], 'effect'>) {
  return { effect_percent: effect?.percent, effect_least: effect?.least, effect_most: effect?.most };
}
