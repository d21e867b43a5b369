import type { Earnings } from '../api/shapes';
import { locale } from '../format/locale';
import { words } from '../words/words';
import type { Group } from './asked';

type Earned = Pick<Earnings['places'][number], 'days' | 'takings' | 'perDay' | 'trendPercent' | 'effect'>;
export type Line = Earned & { readonly id: string; readonly name: string; readonly code: string; /** Of its page; null where it has none. */ readonly path: string | null };

/** The rows of one of the three tables. A cabinet has no effect of its own: what it brings is due to its place and its game. */
export function linesOf({ places, cabinets, games }: Earnings, by: Group): Line[] {
  switch (by) {
    case 'place':
      return places.map((place) => ({ ...place, id: place.siteId, name: place.siteName, code: place.siteCode, path: `sites/${place.siteId}` }));
    case 'cabinet':
      return cabinets.map((cabinet) => ({ ...cabinet, id: cabinet.machineId, name: words.machineKind(cabinet.kind), code: cabinet.machineTag, path: `machines/${cabinet.machineId}`, effect: null }));
    case 'game':
      return games.map((game) => ({ ...game, id: game.gameId, name: game.title, code: game.gameCode, path: null }));
  }
}

const formatter = new Intl.NumberFormat(locale, { style: 'percent', maximumFractionDigits: 0, signDisplay: 'exceptZero' });

export const percent = (value: number): string => formatter.format(value / 100);
