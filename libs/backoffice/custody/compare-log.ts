import type { TenantTransaction } from '#database/tenant';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { timelineOf, type CustodyInterval } from '#domain/keys/custody';
import { textName, type LoggedErasures } from '../erasure/compare-log';
import {
  selectStoredAcknowledgements,
  selectStoredEvents,
  selectWithoutLeaf,
  streamBelieved,
  streamLeavesOfKind,
  type LeafOfKind,
  type StoredAcknowledgement,
} from './compare-log.sql';
import { acknowledgementEntry, custodyEntry } from './leaf';
import { selectFacts } from './timeline.sql';

/**
 * Where the books of custody and the evidence log part: `differs` names the first entry that is not what the tables say
 * now, counted from 0; `erased-by-nobody` one whose reason counts as erased, though no entry is about that; `without-entry`
 * an event that the log does not hold; `misplaced` a copy that is kept elsewhere in the books than its events say.
 */
export type CustodyFinding =
  | { readonly kind: 'fits' }
  | { readonly kind: 'differs'; readonly index: number; readonly eventId: string }
  | { readonly kind: 'erased-by-nobody'; readonly index: number; readonly eventId: string }
  | { readonly kind: 'without-entry'; readonly eventId: string }
  | { readonly kind: 'misplaced'; readonly keyCopyId: string };

/**
 * Makes each entry about keys anew from the tables and compares the bytes. A log that fits under a head from outside then
 * vouches for the tables, too. Page by page, so that a log of any length takes constant memory. Of a reason out of which a
 * name was taken, the entry about that says what it was.
 */
export async function compareCustody(tx: TenantTransaction, { below, erased }: { below: bigint; erased: LoggedErasures }): Promise<CustodyFinding> {
  const differing: CustodyFinding[] = [];
  for await (const leaves of streamLeavesOfKind(tx, { kind: 'custody-recorded', below })) {
    const wrong = await firstWrongEvent(tx, leaves, erased);
    if (wrong === null) continue;
    differing.push(wrong);
    break;
  }
  for await (const leaves of streamLeavesOfKind(tx, { kind: 'custody-acknowledged', below })) {
    const wrong = await firstWrongAcknowledgement(tx, leaves);
    if (wrong === null) continue;
    differing.push(wrong);
    break;
  }
  const [first] = differing.sort((left, right) => indexOf(left) - indexOf(right));
  if (first !== undefined) return first;
  const missing = await selectWithoutLeaf(tx);
  return missing === null ? misplacedCopy(tx) : { kind: 'without-entry', eventId: missing };
}

/** What is believed of each copy now, told anew from its events. */
async function misplacedCopy(tx: TenantTransaction): Promise<CustodyFinding> {
  for await (const believed of streamBelieved(tx)) {
    const facts = await selectFacts(tx, believed.map(({ keyCopyId }) => keyCopyId));
    const wrong = believed.find(({ keyCopyId, intervals, termsFit }) => {
      const timeline = timelineOf(facts.get(keyCopyId) ?? []);
      return !termsFit || !timeline.ok || textOf(timeline.intervals) !== textOf(intervals);
    });
    if (wrong !== undefined) return { kind: 'misplaced', keyCopyId: wrong.keyCopyId };
  }
  return { kind: 'fits' };
}

function textOf(intervals: readonly CustodyInterval[]): string {
  return JSON.stringify(intervals.map(({ from, to, where, eventId }) => [from, to, where.state, where.state === 'held' ? [where.holder.kind, where.holder.id] : null, eventId]));
}

async function firstWrongEvent(tx: TenantTransaction, leaves: readonly LeafOfKind[], erased: LoggedErasures): Promise<CustodyFinding | null> {
  const stored = await selectStoredEvents(tx, leaves.map((leaf) => leaf.subject_id));
  const before = (eventId: string): string | undefined => erased.get(textName({ table: 'custody_event', column: 'reason', row: eventId }))?.[0]?.digestBefore;
  for (const leaf of leaves) {
    const [found, index] = [stored.get(leaf.subject_id), Number(leaf.leaf_index)];
    if (found?.reasonErased === true && before(leaf.subject_id) === undefined) return { kind: 'erased-by-nobody', index, eventId: leaf.subject_id };
    const fits = found !== undefined && canonicalJson(custodyEntry(found.event, found.copies, before(leaf.subject_id))) === leaf.entry.toString('utf8');
    if (!fits) return { kind: 'differs', index, eventId: leaf.subject_id };
  }
  return null;
}

async function firstWrongAcknowledgement(tx: TenantTransaction, leaves: readonly LeafOfKind[]): Promise<CustodyFinding | null> {
  const stored = new Map<string, StoredAcknowledgement[]>();
  for (const row of await selectStoredAcknowledgements(tx, leaves.map((leaf) => leaf.subject_id))) stored.set(row.event_id, [...(stored.get(row.event_id) ?? []), row]);
  return firstWrong(leaves, (leaf) =>
    (stored.get(leaf.subject_id) ?? []).some((row) => {
      const said = { eventId: row.event_id, side: row.side, personId: row.person_id, how: row.how, at: row.acknowledged_at, signatureDigest: row.digest };
      return canonicalJson(acknowledgementEntry(said)) === leaf.entry.toString('utf8');
    }),
  );
}

function firstWrong(leaves: readonly LeafOfKind[], fits: (leaf: LeafOfKind) => boolean): CustodyFinding | null {
  const wrong = leaves.find((leaf) => !fits(leaf));
  return wrong === undefined ? null : { kind: 'differs', index: Number(wrong.leaf_index), eventId: wrong.subject_id };
}

function indexOf(finding: CustodyFinding): number {
  return 'index' in finding ? finding.index : Infinity;
}
