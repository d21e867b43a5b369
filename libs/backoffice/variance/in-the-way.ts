import type { FieldError } from '#contracts/problem';
import type { TenantTransaction } from '#database/tenant';
import { selectFlagsInTheWay, selectUncountedInTheWay, type OpenFlagRow, type UncountedRow } from './gate.sql';

/** What keeps settlements from being reviewed until somebody sees to it, or the owner lets it pass. */
export type InTheWay = { readonly flags: readonly OpenFlagRow[]; readonly uncounted: readonly UncountedRow[] };

export async function selectInTheWay(tx: TenantTransaction, settlementIds: readonly string[]): Promise<InTheWay> {
  return { flags: await selectFlagsInTheWay(tx, settlementIds), uncounted: await selectUncountedInTheWay(tx, settlementIds) };
}

export function isClear({ flags, uncounted }: InTheWay): boolean {
  return flags.length + uncounted.length === 0;
}

/** All of it in one refusal, flags and boxes: in a sentence, and one by one with the ids by which the owner lets it pass. */
export function whyInTheWay(found: InTheWay): { code: 'flags-open' | 'boxes-not-counted'; detail: string; errors: readonly FieldError[] } | undefined {
  if (isClear(found)) return undefined;
  const code = found.flags.length > 0 ? 'flags-open' : 'boxes-not-counted';
  return { code, ...namedOneByOne(found) };
}

export function namedOneByOne({ flags, uncounted }: InTheWay): { detail: string; errors: readonly FieldError[] } {
  const detail = [...(flags.length > 0 ? [flagsInWords(flags)] : []), ...(uncounted.length > 0 ? [uncountedInWords(uncounted)] : [])].join(' ');
  return { detail, errors: [...flags.map(flagError), ...uncounted.map(boxError)] };
}

/** The settlement is named in the address: that is what they are about. */
const ofSettlement = { in: 'path', pointer: 'id' } as const;

function flagError({ flag_id: flagId, machine_tag: machine, site_code: site, local_date: day }: OpenFlagRow): FieldError {
  const message = `The difference of machine ${machine} on ${day} at site ${site} is not explained.`;
  return { ...ofSettlement, code: 'flag-not-explained', message, values: { machine, site, flagId } };
}

function boxError({ placement_id: placementId, machine_id: machineId, machine_tag: machine, site_code: site, removed_on: day }: UncountedRow): FieldError {
  const message = `Machine ${machine} left site ${site} on ${day}, and nobody counted what was in its box.`;
  return { ...ofSettlement, code: 'box-not-counted', message, values: { machine, site, machineId, placementId } };
}

const SHOWN = 5;

function flagsInWords(flags: readonly OpenFlagRow[]): string {
  return `Not explained: ${someOf(flags.map(({ machine_tag: tag, local_date: day }) => `${tag} of ${day}`))}.`;
}

function uncountedInWords(rows: readonly UncountedRow[]): string {
  const named = someOf(rows.map(({ machine_tag: tag, removed_on: day }) => `${tag} on ${day}`));
  return `The terms go by the meters, and nobody counted what was in the box as it left: ${named}. Enter the count of the removal, 0 if the box was empty; where nobody can count it any more, the owner lets the settlement pass.`;
}

function someOf(all: readonly string[]): string {
  const more = all.length - SHOWN;
  return `${all.slice(0, SHOWN).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}
