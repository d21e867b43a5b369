import type { EvidenceDeps } from '../evidence/append';
import type { Backoffice } from '../dependencies';

/** What background work is given: the same database and clock as requests, chance, and somebody to tell about bugs. */
export type WorkDeps = Pick<Backoffice, 'database' | 'clock' | 'newId'> &
  Pick<EvidenceDeps, 'randomBytes'> & {
    /** Told of exceptions that were kept to one settlement, so that the others could go on. */
    readonly onBug: (bug: { readonly error: unknown; readonly settlementOf: string }) => void;
    /** Called between the steps of a batch, with the step's name. Tests end the work there as a crash would. */
    readonly onStep?: (step: string) => void;
  };

/** Which batch of which operator; who carries it out is the program itself. */
export type BatchJob = { readonly tenantId: string; readonly batchId: string; readonly requestId?: string };

/** The scope of a worker's transactions: the audit trail names the task, the records name who asked for it. */
export function workerScope(job: BatchJob, task: string): { tenantId: string; kind: 'system'; id: string; requestId?: string } {
  return { tenantId: job.tenantId, kind: 'system', id: `worker:${task}`, ...(job.requestId === undefined ? {} : { requestId: job.requestId }) };
}

