import type { Round } from '../api/shapes';

type Stop = Round['stops'][number];

/** What a new round begins with. */
export interface Beginning {
  readonly name: string;
  readonly collectorId: string;
  readonly siteIds: readonly string[];
}

/** The same way again, by the same person: to these stops of a round, in their order. */
export function beginsAs({ name, collectorId }: Round, stops: readonly Stop[]): Beginning {
  return { name, collectorId, siteIds: stops.map(({ siteId }) => siteId) };
}

/** Stops where nobody has been since. Where a later round of a day that is over was to go there, it is its stop. */
export function missedStops({ stops }: Round, today: string): Stop[] {
  return stops.filter(({ collectedOn, plannedAgainOn }) => collectedOn === null && (plannedAgainOn === null || plannedAgainOn >= today));
}

/** Of those where nobody has been since, the ones that no later round goes to yet. */
export function stopsToPlan({ stops }: Pick<Round, 'stops'>): Stop[] {
  return stops.filter(({ collectedOn, plannedAgainOn }) => collectedOn === null && plannedAgainOn === null);
}
