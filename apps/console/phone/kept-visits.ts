import type { Stop } from './draft';
import type { KeptVisit } from './store';

type Place = Pick<Stop, 'roundId' | 'siteId'>;

/** As an address names it. */
type NamedPlace = { readonly [Part in keyof Place]: string | undefined };

/** The visit of this stop that is being entered. */
export function begunAt(visits: readonly KeptVisit[], place: NamedPlace): KeptVisit | undefined {
  return visits.find((visit) => visit.visit === null && isAt(visit.stop, place));
}

/** Visits that are being entered at stops that are no longer among these: the round was changed, or its day is over. */
export function begunElsewhere(visits: readonly KeptVisit[], stops: readonly Place[]): readonly KeptVisit[] {
  return visits.filter((visit) => visit.visit === null && !stops.some((stop) => isAt(visit.stop, stop)));
}

function isAt(stop: Place, { roundId, siteId }: NamedPlace): boolean {
  return stop.roundId === roundId && stop.siteId === siteId;
}
