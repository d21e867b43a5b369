import type { LocalDate } from '#domain/calendar/local-date';

/** A placement as far as its place and days matter. */
export type Standing = {
  readonly id: string;
  readonly siteId: string;
  readonly placedOn: LocalDate;
  readonly removedOn: LocalDate | null;
};

/**
 * The placement that a count at a site on a day belongs to. On the day of a removal the removal count belongs to the site
 * that is left, any other count to where the machine stands afterwards.
 */
export function placementOn(input: {
  readonly placements: readonly Standing[];
  readonly siteId: string;
  readonly day: LocalDate;
  readonly removal: boolean;
}): Standing | null {
  const { placements, siteId, day, removal } = input;
  return (
    placements.find((placement) => {
      if (placement.siteId !== siteId || day < placement.placedOn) return false;
      if (removal) return placement.removedOn === day;
      return placement.removedOn === null || day < placement.removedOn;
    }) ?? null
  );
}
