import type { Close, StartClose } from '#contracts/close';
import { done, refused, type Outcome } from '#contracts/outcome';
import { attempt } from '#database/constraint';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { dueAgreements, periodIdsOf, type DueAgreement } from './agreements';
import { enqueueBatches } from './enqueue-batches';
import { closeBody } from './read';
import { findRun, insertRun } from './run.sql';

/**
 * Closes a period for all agreements of a cycle: writes the run and its batches, which workers then settle. Refuses a
 * period that is not over at one of the sites, one without agreements, and one that is closed already; of two people who
 * start it at the same moment one wins, and the other is told the id of the winner's run.
 */
export function startClose(deps: Backoffice, caller: Caller, command: StartClose): Promise<Outcome<Close>> {
  return perform<Close>(deps, caller, 'close.start', async ({ tx, now }) => {
    const { cycle, startsOn } = command;
    const agreements = await dueAgreements(tx, { cycle, startsOn });
    const endsBefore = agreements[0]?.endsBefore;
    if (endsBefore === undefined) return refused('nothing-to-close', { detail: `No period of the cycle ${cycle} begins on ${startsOn}.` });
    if (!isOverEverywhere(agreements, endsBefore, now)) {
      return refused('period-not-over', { detail: `The period from ${startsOn} can be closed from ${endsBefore} on, by the calendar of its sites.` });
    }
    const id = deps.newId();
    const run = { id, cycle, startsOn, endsBefore, agreementCount: agreements.length, requestedAt: now };
    const written = await attempt(tx, () => insertRun(tx, run));
    if (!written.ok) return refused('period-already-closed', { detail: `The run is ${(await findRun(tx, { cycle, startsOn })) ?? 'unknown'}.` });
    await enqueueSettling(deps, tx, { closeRunId: id, agreements, now });
    const close = await closeBody(tx, id);
    if (close === undefined) throw new Error('a run that was just written is not there');
    return done(close);
  });
}

/** Asks for settlements of these agreements, as part of a run. */
export async function enqueueSettling(
  deps: Pick<Backoffice, 'newId'>,
  tx: TenantTransaction,
  work: { closeRunId: string; agreements: readonly DueAgreement[]; now: Date; except?: ReadonlySet<string> },
): Promise<void> {
  const periodIds = await periodIdsOf(tx, work.agreements, deps.newId);
  await enqueueBatches(tx, {
    closeRunId: work.closeRunId,
    task: 'settle',
    subjectIds: periodIds.filter((id) => work.except?.has(id) !== true),
    requestedBy: tx.actor,
    now: work.now,
    newId: deps.newId,
  });
}

function isOverEverywhere(agreements: readonly DueAgreement[], endsBefore: LocalDate, now: Date): boolean {
  const zones = new Set(agreements.map((agreement) => agreement.timeZone));
  return [...zones].every((timeZone) => {
    const today = localDay({ instant: now, timeZone });
    return today !== null && today >= endsBefore;
  });
}
