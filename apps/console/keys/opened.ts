import type { PersonKeys } from '../api/shapes';

type Lock = PersonKeys['opens'][number];
/** Locks of one kind at one site that the same copies open. */
export interface Opened {
  readonly siteCode: string | null;
  readonly siteName: string | null;
  readonly opens: Lock['opens'];
  readonly numbers: readonly string[];
  readonly machineTags: readonly string[];
}

/** What somebody can open, a line for a site instead of one for each lock: who collects opens hundreds. */
export function bySite(locks: readonly Lock[]): readonly Opened[] {
  const groups = new Map<string, Opened>();
  for (const { siteCode, siteName, opens, numbers, machineTag } of locks) {
    const key = JSON.stringify([siteCode, opens, numbers]);
    const group = groups.get(key) ?? { siteCode, siteName, opens, numbers, machineTags: [] };
    groups.set(key, group.machineTags.includes(machineTag) ? group : { ...group, machineTags: [...group.machineTags, machineTag] });
  }
  return [...groups.values()];
}
