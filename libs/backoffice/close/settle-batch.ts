import { withTenant, type TenantTransaction } from '#database/tenant';
import { computeSettlement, isEmpty, type ComputedSettlement } from '../settlement/compute';
import { loadInputs, type Loaded } from '../settlement/inputs/load';
import { obstacle } from '../settlement/inputs/obstacle';
import { lockPeriods } from '../settlement/inputs/targets.sql';
import { lineRows, settlementRow } from '../settlement/rows';
import { insertEvents, insertLines, insertSettlements, type LineRow, type SettlementRow } from '../settlement/save.sql';
import { finishBatch, takeBatch, type BatchFailure, type BatchRow } from './batch.sql';
import { workerScope, type BatchJob, type WorkDeps } from './work';

/** Written at once: bounds what a batch of large sites holds in memory, whatever the number of its sites. */
const CHARACTERS_PER_WRITE = 2_500_000;

/**
 * Settles the periods of one batch, in one transaction: all of it is written or nothing, so a worker that dies in the
 * middle leaves the batch as it was, and whoever takes it up again begins afresh. A period that cannot be settled is noted
 * with its reason; the others go on. Done or taken by another worker: nothing happens.
 */
export async function settleBatch(deps: WorkDeps, job: BatchJob): Promise<void> {
  await withTenant(deps.database, workerScope(job, 'settle'), async (tx) => {
    const batch = await takeBatch(tx, job.batchId);
    if (batch === undefined) return;
    deps.onStep?.('taken');
    await lockPeriods(tx, batch.subject_ids);
    const loaded = await loadInputs(tx, batch.subject_ids);
    deps.onStep?.('loaded');
    const { settledCount, failures } = await settleAndSave(deps, tx, { batch, loaded });
    await finishBatch(tx, { id: batch.id, doneCount: settledCount, failures, finishedAt: deps.clock.now() });
    deps.onStep?.('finished');
  });
}

async function settleAndSave(
  deps: WorkDeps,
  tx: TenantTransaction,
  work: { batch: BatchRow; loaded: readonly Loaded[] },
): Promise<{ settledCount: number; failures: BatchFailure[] }> {
  const failures: BatchFailure[] = [];
  let settledCount = 0;
  let waiting: Written = { settlements: [], lines: [], characters: 0 };
  const write = async (): Promise<void> => {
    await save(deps, tx, { ...waiting, requestedBy: work.batch.requested_by });
    settledCount += waiting.settlements.length;
    waiting = { settlements: [], lines: [], characters: 0 };
    deps.onStep?.('saved');
  };
  for (const each of work.loaded) {
    const { target } = each;
    // Settled since the batch was asked for, by an earlier one: it stays as it is.
    if (target.settlement_id !== null) continue;
    const computed = computedOrFailure(deps, each);
    if ('failure' in computed) failures.push(computed.failure);
    // Whoever got the reversed statement gets another, even if nothing is left of it.
    else if (target.is_reversed || !isEmpty(computed.computed)) {
      const row = settlementRow({ id: deps.newId(), target, closeRunId: work.batch.close_run_id, computed: computed.computed });
      waiting.settlements.push(row);
      waiting.lines.push(...lineRows(row.id, computed.computed.result));
      waiting.characters += row.inputs.length + row.result.length;
      if (waiting.characters >= CHARACTERS_PER_WRITE) await write();
    }
  }
  if (waiting.settlements.length > 0) await write();
  return { settledCount, failures };
}

type Written = { settlements: SettlementRow[]; lines: LineRow[]; characters: number };

function computedOrFailure(deps: WorkDeps, loaded: Loaded): { computed: ComputedSettlement } | { failure: BatchFailure } {
  const subjectId = loaded.target.period_id;
  if ('obstacle' in loaded.from) {
    // Its boxes are asked for anew when the failure is shown.
    const { boxes: _, ...failure } = loaded.from.obstacle;
    return { failure: { subjectId, ...failure } };
  }
  try {
    return { computed: computeSettlement(loaded.from.inputs) };
  } catch (error) {
    // One site's bug must not keep the month of all others from being closed.
    deps.onBug({ error, settlementOf: subjectId });
    return { failure: { subjectId, ...obstacle('cannot-be-computed') } };
  }
}

async function save(deps: WorkDeps, tx: TenantTransaction, written: Written & { requestedBy: string }): Promise<void> {
  const now = deps.clock.now();
  const { settlements, lines, requestedBy } = written;
  await insertSettlements(tx, { rows: settlements, draftedAt: now });
  await insertLines(tx, lines);
  await insertEvents(tx, {
    ids: settlements.map(() => deps.newId()),
    settlementIds: settlements.map((row) => row.id),
    kind: 'drafted',
    at: now,
    by: requestedBy,
  });
}
