import type { WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { shareMachinePlacements } from '../collection/directory.sql';
import { placementOn } from '../placement/standing';
import { notPlacedHere } from '../refusal';

/** A bag and out of whose box it came; null where it holds what came from several. */
export type BagOfBox = { readonly machineTag: string | null; /** Of the last box of a machine that leaves on that day. */ readonly removal: boolean };

type BaggedMachines = { readonly machineIdOf: (tag: string) => string | undefined; readonly wrong: readonly WrongField[] };

/** The machines out of whose boxes bags came. Each stood at the site on the day of the visit, or left it then. */
export async function findBaggedMachines(tx: TenantTransaction, bags: readonly BagOfBox[], { siteId, localDate }: { readonly siteId: string; readonly localDate: LocalDate }): Promise<BaggedMachines> {
  const rows = await shareMachinePlacements(tx, { tags: bags.flatMap(({ machineTag }) => machineTag ?? []), placementIds: [] });
  const standing = rows.flatMap(({ tag, machine_id: machineId, id, site_id: at, placed_on: placedOn, removed_on: removedOn }) =>
    id === null || at === null || placedOn === null ? [] : [{ tag, machineId, placement: { id, siteId: at, placedOn, removedOn } }],
  );
  const wrong = bags.flatMap(({ machineTag, removal }, index): WrongField[] => {
    if (machineTag === null) return [];
    const days = { placements: standing.filter(({ tag }) => tag === machineTag).map(({ placement }) => placement), siteId, day: localDate };
    const here = removal ? placementOn({ ...days, removal: true }) : (placementOn({ ...days, removal: false }) ?? placementOn({ ...days, removal: true }));
    if (here !== null) return [];
    const path = ['bags', index, 'machineTag'];
    return [removal ? { path, code: 'no-removal-that-day', message: `Machine ${machineTag} was not removed from this site on ${localDate}. End or move its placement on that day first.` } : notPlacedHere(path, { machineTag, where: 'at this site', day: localDate })];
  });
  return { machineIdOf: (tag) => standing.find((each) => each.tag === tag)?.machineId, wrong };
}
