import { withTenant } from '#database/tenant';
import { isRevoked } from '../certificate/revocation.sql';
import { operatorSigner, type OperatorSigner, type SigningDeps } from '../certificate/signer';
import { shareCertificates } from '../certificate/signing.sql';
import { makeStatement, storeStatements, type SignedStatement } from '../statement/issue';
import { prepareStatements, type KnownProofs, type PreparedStatement } from '../statement/prepare';
import { finishBatch, noteKeyMissed, readBatch, takeBatch, type BatchFailure, type BatchRow } from './batch.sql';
import { workerScope, type BatchJob } from './work';

/** Statements that are held in memory and written together; each has some 60 kB. */
const SLICE = 10;

/**
 * Second phase of issue. Numbers are given already, so nothing here is hurried: statements are rendered and signed outside
 * any transaction, stored a few at a time, and what is stored stays. A worker that dies leaves the rest numbered; whoever
 * takes the batch up again makes those, and two who make the same one store it once. Throws when the key that signs lies elsewhere
 * and cannot be reached, or is revoked meanwhile: the batch keeps waiting, for it or for the next one, and says so.
 */
export async function renderBatch(deps: SigningDeps, job: BatchJob): Promise<void> {
  const scope = workerScope(job, 'render');
  const batch = await withTenant(deps.database, scope, (tx) => readBatch(tx, job.batchId));
  if (batch === undefined) return;
  const signer = await operatorSigner(deps, scope);
  deps.onStep?.('signer at hand');
  const failures: BatchFailure[] = [];
  const proofs: KnownProofs = new Map();
  for (let start = 0; start < batch.subject_ids.length; start += SLICE) {
    const slice = await renderSlice(deps, { scope, signer, batch, proofs, settlementIds: batch.subject_ids.slice(start, start + SLICE) });
    // The next one would wait as long for the same key.
    const { waitsForKey } = slice;
    if (waitsForKey !== undefined) {
      await withTenant(deps.database, scope, (tx) => noteKeyMissed(tx, { id: batch.id, what: waitsForKey, now: deps.clock.now() }));
      throw new Error(waitsForKey);
    }
    failures.push(...slice.failures);
  }
  await withTenant(deps.database, scope, async (tx) => {
    if ((await takeBatch(tx, batch.id)) === undefined) return;
    const doneCount = batch.subject_ids.length - failures.length;
    await finishBatch(tx, { id: batch.id, doneCount, failures, finishedAt: deps.clock.now() });
  });
  deps.onStep?.('finished');
}

async function renderSlice(
  deps: SigningDeps,
  work: { scope: ReturnType<typeof workerScope>; signer: OperatorSigner; batch: BatchRow; proofs: KnownProofs; settlementIds: readonly string[] },
): Promise<{ failures: BatchFailure[]; waitsForKey?: string }> {
  const { scope, signer, batch, proofs, settlementIds } = work;
  const prepared = await withTenant(deps.database, scope, (tx) => prepareStatements(tx, settlementIds, proofs));
  deps.onStep?.('prepared');
  const statements: SignedStatement[] = [];
  const failures: BatchFailure[] = [];
  let waitsForKey: string | undefined;
  for (const each of prepared) {
    const made = await madeOrFailure(deps, each, signer);
    if ('waitsForKey' in made) {
      waitsForKey = made.waitsForKey;
      break;
    }
    if ('failure' in made) failures.push(made.failure);
    else statements.push(made.statement);
    deps.onStep?.('rendered');
  }
  if (statements.length > 0) {
    const isStored = await withTenant(deps.database, scope, async (tx) => {
      await shareCertificates(tx);
      if (await isRevoked(tx, signer.certificateId)) return false;
      await storeStatements(deps, tx, { statements, by: batch.requested_by });
      return true;
    });
    if (!isStored) return { failures, waitsForKey: 'the certificate was revoked meanwhile' };
  }
  deps.onStep?.('stored');
  return { failures, ...(waitsForKey === undefined ? {} : { waitsForKey }) };
}

/** A statement that cannot be printed must not keep the others of the month from going out. */
async function madeOrFailure(
  deps: SigningDeps,
  prepared: PreparedStatement,
  signer: OperatorSigner,
): Promise<{ statement: SignedStatement } | { waitsForKey: string } | { failure: BatchFailure }> {
  try {
    return await makeStatement(prepared, signer);
  } catch (error) {
    deps.onBug({ error, settlementOf: prepared.settlementId });
    const message = 'The statement cannot be printed or signed. The settlement keeps its number.';
    return { failure: { subjectId: prepared.settlementId, code: 'statement-not-made', message } };
  }
}
