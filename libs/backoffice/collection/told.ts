import type { UntoldWhy } from '#contracts/untold-box';
import type { TenantTransaction } from '#database/tenant';
import { expectedCash, type MachineExpectedCash } from '../meter/expected-cash';
import { groupBy } from '../meter/to-board';
import { selectLeftUnread, selectRecordedBoxes } from './metered.sql';

/** What the recorded meters of a box imply, in minor units; or why they cannot tell it. */
export type Told = { readonly minor: bigint } | { readonly untold: readonly RecordedWhy[] };

type RecordedWhy = Exclude<UntoldWhy, 'not-recorded'>;

/**
 * What the meters of counted boxes imply, of machines whose meters are recorded; by {@link boxKey}. Whether somebody has to say it in their place is asked
 * nowhere else. A meter that was only not read adds nothing: all it counted belongs to the box at which it is read again. Of a machine that left the
 * site there is no such box. Where meters went back or too far, or were not read as the machine was moved or a price changed, they cannot tell it.
 */
export async function toldByMeters(tx: TenantTransaction, collectionIds: readonly string[]): Promise<ReadonlyMap<string, Told>> {
  const recorded = await selectRecordedBoxes(tx, collectionIds);
  if (recorded.length === 0) return new Map();
  const expected = groupBy(await expectedCash(tx, collectionIds), boxKey);
  const leftUnread = new Set((await selectLeftUnread(tx, collectionIds)).map(boxKey));
  return new Map(recorded.map((box) => [boxKey(box), toldOf(expected.get(boxKey(box)) ?? [], leftUnread.has(boxKey(box)))]));
}

export const boxKey = ({ collectionId, machineId }: { readonly collectionId: string; readonly machineId: string }): string => `${collectionId} ${machineId}`;

/** In which order it is said why. */
const whys: readonly RecordedWhy[] = ['left-unread', 'moved-unread', 'first-reading', 'price-unread', 'board-unread', 'reset-or-wrong', 'rollover-or-reset', 'above-ceiling'];

function toldOf(tenders: readonly MachineExpectedCash[], isLeftUnread: boolean): Told {
  const isKnown = tenders.length > 0 && tenders.every(({ unknownHere }) => unknownHere.length === 0);
  const why = new Set<RecordedWhy>(isLeftUnread && !isKnown ? ['left-unread'] : []);
  for (const { mixed, unknownHere } of tenders) {
    if (mixed) why.add('moved-unread');
    for (const each of unknownHere) if (each !== 'not-read' && !(mixed && each === 'first-reading')) why.add(each);
  }
  return why.size > 0 ? { untold: whys.filter((each) => why.has(each)) } : { minor: tenders.reduce((sum, { knownMinor }) => sum + knownMinor, 0n) };
}
