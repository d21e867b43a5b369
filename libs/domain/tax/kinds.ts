/** Which machines a rule or one of its components covers. */
import type { MachineKind, MachineKinds } from '#domain/tax/types';

export function coversKind(kinds: MachineKinds, kind: MachineKind): boolean {
  return kinds === 'all' || kinds.includes(kind);
}
