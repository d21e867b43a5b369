/**
 * Stays of a machine at its sites, by the moment. Placements are recorded by the day, and on the day of a move a machine
 * stood at two sites and in the van between: there, the readings at the removal and at the placement say where a meter ran.
 */

/** A placement with what is known of its bounds. Days are given by the moments at which they begin at the site. */
export type PlacedDays = {
  readonly id: string;
  readonly siteId: string;
  readonly placedDayMs: number;
  /** Moments on the first day at which meters were read as the machine was placed, rising. */
  readonly placedReadMs: readonly number[];
  /** The day of the removal, the first that is no longer included; null while it stands there. */
  readonly removedDayMs: number | null;
  /** Moments on that day at which meters were read as it was taken away, rising; be it only as their board came out there. */
  readonly removedReadMs: readonly number[];
  /** The last emptying of its box there; wanted only of a machine that was removed, whether its meters were read then or not. */
  readonly lastEmptied: { readonly collectionId: string; readonly atMs: number } | null;
};

export type Stay = {
  readonly placementId: string;
  readonly siteId: string;
  readonly fromMs: number;
  readonly untilMs: number | null;
  readonly lastEmptied: PlacedDays['lastEmptied'];
};

/**
 * The stays of one machine, from its placements in their order. A stay begins with the reading at the placement and ends with
 * that at the removal; without one it ends with the count at the removal, or with the day.
 */
export function staysOf(placements: readonly PlacedDays[]): Stay[] {
  let freeMs = Number.NEGATIVE_INFINITY;
  return placements.map(({ id, siteId, placedDayMs, placedReadMs, removedDayMs, removedReadMs, lastEmptied }) => {
    const earliestMs = freeMs;
    const fromMs = placedReadMs.find((atMs) => atMs >= earliestMs) ?? Math.max(placedDayMs, earliestMs);
    const counted = removedDayMs === null || lastEmptied === null || lastEmptied.atMs < removedDayMs ? undefined : lastEmptied.atMs;
    const untilMs = removedDayMs === null ? null : Math.max(fromMs, removedReadMs.find((atMs) => atMs >= fromMs) ?? counted ?? removedDayMs);
    freeMs = untilMs ?? Number.POSITIVE_INFINITY;
    return { placementId: id, siteId, fromMs, untilMs, lastEmptied };
  });
}

/** Where a machine stood at a moment; null where at no site. What is read as it is placed belongs to where it comes to. */
export function stayAt(stays: readonly Stay[], { atMs, placing, siteId }: { readonly atMs: number; readonly placing: boolean; readonly siteId: string | null }): Stay | null {
  const within = stays.filter(({ fromMs, untilMs }) => fromMs <= atMs && (untilMs === null || atMs <= untilMs));
  if (siteId === null) return (placing ? within.at(-1) : within[0]) ?? null;
  // A box that was emptied at a site belongs there, also where it was emptied after the machine had left it on that day.
  return within.find((stay) => stay.siteId === siteId) ?? stays.findLast((stay) => stay.siteId === siteId && stay.fromMs <= atMs) ?? stays.find((stay) => stay.siteId === siteId) ?? null;
}
