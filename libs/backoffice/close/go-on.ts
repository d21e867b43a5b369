import type { Close, Cycle, ReviewClose } from '#contracts/close';
import { done, refused, type Outcome } from '#contracts/outcome';
import { enqueueAll } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { dueAgreements } from './agreements';
import { batchesThatMiss, waitingSubjects, type BatchTask } from './batch.sql';
import { batchTopics, enqueueBatches } from './enqueue-batches';
import { closeBody } from './read';
import { readRuns, type RunRow } from './run.sql';
import { enqueueSettling } from './start';
import { settledPeriods, settlementsOf } from './work.sql';

/** Settles what a run could not settle, and agreements that came later. What is settled already stays as it is. */
export function settleMissing(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<Close>> {
  return onRun(deps, caller, { id, action: 'close.start' }, async ({ tx, run, now }) => {
    const agreements = await dueAgreements(tx, { cycle: run.cycle as Cycle, startsOn: run.starts_on as LocalDate });
    const settled = await settledPeriods(tx, { startsOn: run.starts_on, endsBefore: run.ends_before });
    const waiting = await waitingSubjects(tx, { closeRunId: id, task: 'settle' });
    await enqueueSettling(deps, tx, { closeRunId: id, agreements, now, except: new Set([...settled, ...waiting]) });
  });
}

/** Reviews drafts of a run: each is compared with what is known now, and stale ones stay drafts. */
export function reviewClose(deps: Backoffice, caller: Caller, command: ReviewClose & { readonly id: string }): Promise<Outcome<Close>> {
  return onRun(deps, caller, { id: command.id, action: 'settlement.review' }, async ({ tx, now }) => {
    await enqueueFor(deps, tx, { closeRunId: command.id, task: 'review', states: ['draft'], ids: command.settlementIds, now });
  });
}

/** Issues what is reviewed: numbers first, then statements; takes up again what was numbered and has no statement yet, at once where it waits for the key that signs or for stamps. */
export function issueClose(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<Close>> {
  return onRun(deps, caller, { id, action: 'settlement.issue' }, async ({ tx, now }) => {
    await enqueueFor(deps, tx, { closeRunId: id, task: 'number', states: ['reviewed'], now });
    await enqueueFor(deps, tx, { closeRunId: id, task: 'render', states: ['numbered'], now });
    await enqueueAll(tx, batchTopics.render, (await batchesThatMiss(tx, id)).map((batchId) => ({ batchId })));
  });
}

async function enqueueFor(
  deps: Backoffice,
  tx: TenantTransaction,
  work: { closeRunId: string; task: BatchTask; states: readonly string[]; ids?: readonly string[] | undefined; now: Date },
): Promise<void> {
  const { closeRunId, task, states, ids, now } = work;
  const waiting = await waitingSubjects(tx, { closeRunId, task });
  const subjectIds = (await settlementsOf(tx, { closeRunId, states, ids })).filter((id) => !waiting.has(id));
  await enqueueBatches(tx, { closeRunId, task, subjectIds, requestedBy: tx.actor, now, newId: deps.newId });
}

function onRun(
  deps: Backoffice,
  caller: Caller,
  asked: { id: string; action: Action },
  work: (unit: { tx: TenantTransaction; run: RunRow; now: Date }) => Promise<void>,
): Promise<Outcome<Close>> {
  return perform<Close>(deps, caller, asked.action, async ({ tx, now }) => {
    const [run] = await readRuns(tx, { id: asked.id, limit: 1 });
    if (run === undefined) return refused('not-found');
    await work({ tx, run, now });
    const close = await closeBody(tx, asked.id);
    return close === undefined ? refused('not-found') : done(close);
  });
}
