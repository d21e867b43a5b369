import type { Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { bookRecords } from '../agreement/book';
import { shareAgreementsOf } from '../collection/accept-collections.sql';
import { expectedCash, type MachineExpectedCash } from '../meter/expected-cash';
import { assessCollections } from './assess';
import { selectAcceptedSince, selectSettledByMeters } from './follow-meters.sql';

type Change = {
  readonly machineId: string;
  /** The moment from which on the meters may say something else. */
  readonly from: Date;
  /**
   * What changes it: a late change of a settlement names it. Only what this command writes: a period notes each source once, so that
   * under the id of a thing that can change again the second change would be lost. Left out, the change has an id of its own.
   */
  readonly sourceId?: string | undefined;
  readonly now: Date;
  readonly newId: () => string;
};

/**
 * Runs work that may change what the meters of a machine say of boxes in the books: a reading that was corrected or came
 * late, a board that was changed. The counts are compared again, and where figures changed, a settlement that goes by the
 * meters and is numbered gets the difference in the next one.
 */
export async function followingMeters<Value>(tx: TenantTransaction, { machineId, from, sourceId, now, newId }: Change, work: () => Promise<Outcome<Value>>): Promise<Outcome<Value>> {
  const collectionIds = await selectAcceptedSince(tx, { machineId, from });
  if (collectionIds.length === 0) return work();
  const before = figuresOf(await expectedCash(tx, collectionIds));
  const outcome = await work();
  if (!outcome.ok) return outcome;
  const after = figuresOf(await expectedCash(tx, collectionIds));
  const changed = collectionIds.filter((id) => before.get(id) !== after.get(id));
  if (changed.length > 0) {
    await shareAgreementsOf(tx, changed);
    const settled = await selectSettledByMeters(tx, changed);
    const source = sourceId ?? newId();
    const records = settled.map((row) => ({ sourceId: source, agreementId: row.agreement_id, accountingDate: row.accounting_date }));
    const booked = records.length === 0 ? null : await bookRecords(tx, { records, cause: 'correction', now, newId, write: () => Promise.resolve() });
    if (booked?.ok === false) return booked;
  }
  // Also where no figure changed: a reading within an outage tells that the machine worked, and its count is charted again.
  await assessCollections(tx, { collectionIds, now, newId });
  return outcome;
}

/** Compares the counts of a machine from a moment on again, where something came to explain an interval or no longer does. */
export async function followingExplanation(tx: TenantTransaction, { machineId, from, now, newId }: Omit<Change, 'sourceId'>): Promise<void> {
  const collectionIds = await selectAcceptedSince(tx, { machineId, from });
  if (collectionIds.length > 0) await assessCollections(tx, { collectionIds, now, newId });
}

/** What is said of each collection, comparable as text. */
function figuresOf(expected: readonly MachineExpectedCash[]): Map<string, string> {
  const figures = new Map<string, string>();
  for (const { collectionId, tender, expectedMinor, unknown, knownMinor, unknownHere, mixed, sinceMs, playsMinor } of expected) {
    figures.set(collectionId, `${figures.get(collectionId) ?? ''} ${[tender, expectedMinor, unknown.join('+'), knownMinor, unknownHere.join('+'), mixed, sinceMs, playsMinor].join(' ')}`);
  }
  return figures;
}
