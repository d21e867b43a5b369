import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { machinesOf, type Machine } from '../collection/check-entries';
import { shareMachinePlacements } from '../collection/directory.sql';
import { localDay } from '../collection/local-day';
import { notPlacedHere, unknownMachine } from '../refusal';
import { selectSites, type SiteOfPlacement } from './find-placed.sql';

/** A machine on a day, named by its tag or by its placement; `path` leads to the entry, `dayField` to the day in it. */
export type NamedMachine = {
  readonly machineTag?: string | undefined;
  readonly placementId?: string | undefined;
  readonly day: LocalDate;
  /** Where it must have stood; null for wherever it did. */
  readonly siteId: string | null;
  readonly path: readonly (string | number)[];
  readonly dayField: string;
};

export type Placed = { readonly placementId: string; readonly machineId: string; readonly site: SiteOfPlacement };

/**
 * Where machines stood on days that have come, in the order asked for, or why that cannot be said. What happened on the day
 * of a removal belongs to the site that is left only where the machine stands nowhere afterwards, or the placement is named.
 * Holds the placements until the transaction ends. Three statements, whatever the number of machines.
 */
export async function findPlaced(tx: TenantTransaction, named: readonly NamedMachine[], now: Date): Promise<(Placed | WrongField)[]> {
  const machines = machinesOf(
    await shareMachinePlacements(tx, {
      tags: named.flatMap(({ machineTag }) => machineTag ?? []),
      placementIds: named.flatMap(({ placementId }) => placementId ?? []),
    }),
  );
  const byTag = new Map(machines.map((machine) => [machine.tag, machine]));
  const byPlacement = new Map(machines.flatMap((machine) => machine.placements.map((placement) => [placement.id, machine] as const)));
  const sites = await selectSites(tx, [...new Set(machines.flatMap((machine) => machine.placements.map(({ siteId }) => siteId)))]);
  return named.map((each) => {
    const machine = each.placementId === undefined ? byTag.get(each.machineTag ?? '') : byPlacement.get(each.placementId);
    return machine === undefined ? notFound(each) : placedOn(machine, { named: each, sites, now });
  });
}

function notFound({ path, machineTag, placementId }: NamedMachine): WrongField {
  if (placementId !== undefined) return { path: [...path, 'placementId'], code: 'unknown', message: 'There is no placement with this id.' };
  return unknownMachine([...path, 'machineTag'], machineTag ?? '');
}

function placedOn(machine: Machine, at: { named: NamedMachine; sites: ReadonlyMap<string, SiteOfPlacement>; now: Date }): Placed | WrongField {
  const { day, path, placementId, siteId, dayField } = at.named;
  const possible = machine.placements.filter(
    (each) => (placementId === undefined || each.id === placementId) && (siteId === null || each.siteId === siteId) && each.placedOn <= day,
  );
  const placement = possible.find(({ removedOn }) => removedOn === null || day < removedOn) ?? possible.find(({ removedOn }) => day === removedOn);
  const site = placement === undefined ? undefined : at.sites.get(placement.siteId);
  if (placement === undefined || site === undefined) {
    const where = placementId === undefined && siteId === null ? 'at any site' : 'there';
    return notPlacedHere([...path, placementId === undefined ? 'machineTag' : 'placementId'], { machineTag: machine.tag, where, day });
  }
  const today = localDay({ instant: at.now, timeZone: site.time_zone });
  if (today !== null && day > today) return { path: [...path, dayField], code: 'in-the-future', message: `At the site it is ${today}.` };
  return { placementId: placement.id, machineId: machine.id, site };
}
