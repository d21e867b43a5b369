import { withTenant } from '#database/tenant';
import { isRevoked } from '../certificate/revocation.sql';
import { operatorSigner, type OperatorSigner } from '../certificate/signer';
import { shareCertificates } from '../certificate/signing.sql';
import { makeStatement, storeStatements, type SignedStatement, type StatementDeps } from '../statement/issue';
import { prepareStatements, type KnownProofs, type PreparedStatement } from '../statement/prepare';
import { finishBatch, noteMissed, readBatch, takeBatch, type BatchFailure, type BatchRow, type Missed } from './batch.sql';
import { endOfPatience } from './patience';
import { settlementsWithoutStatement } from './work.sql';
import { workerScope, type BatchJob } from './work';

/** Statements that are held in memory and written together; each has some 60 kB. */
const SLICE = 10;

/**
 * Second phase of issue. Numbers are given already, so nothing here is hurried: statements are rendered and signed outside
 * any transaction, stored a few at a time, and what is stored stays. A worker that dies leaves the rest numbered; whoever
 * takes the batch up again makes those, and two who make the same one store it once. Throws when the key that signs cannot be
 * reached or opened, or its certificate has ended or is revoked, or when no time stamp comes: the batch keeps waiting, for it or for the next one, and
 * says so. For a stamp it waits for a limited time; then what has no statement is a failure, to be issued again.
 */
export async function renderBatch(deps: StatementDeps, job: BatchJob): Promise<void> {
  const scope = workerScope(job, 'render');
  const batch = await withTenant(deps.database, scope, (tx) => readBatch(tx, job.batchId));
  if (batch === undefined) return;
  const signer = await operatorSigner(deps, scope);
  if (!signer.ok) return waitOrGiveUp(deps, { scope, batch, failures: [], missed: { what: 'key', why: signer.why, said: signer.said }, gotOn: false });
  deps.onStep?.('signer at hand');
  const failures: BatchFailure[] = [];
  const proofs: KnownProofs = new Map();
  let stored = 0;
  for (let start = 0; start < batch.subject_ids.length; start += SLICE) {
    const slice = await renderSlice(deps, { scope, signer, batch, proofs, settlementIds: batch.subject_ids.slice(start, start + SLICE) });
    failures.push(...slice.failures);
    stored += slice.stored;
    // The next one would wait as long for the same.
    if (slice.missed !== undefined) return waitOrGiveUp(deps, { scope, batch, failures, missed: slice.missed, gotOn: stored > 0 });
  }
  await finish(deps, { scope, batch, failures });
}

async function finish(deps: StatementDeps, work: { scope: Scope; batch: BatchRow; failures: readonly BatchFailure[] }): Promise<void> {
  const { scope, batch, failures } = work;
  await withTenant(deps.database, scope, async (tx) => {
    if ((await takeBatch(tx, batch.id)) === undefined) return;
    const doneCount = batch.subject_ids.length - failures.length;
    await finishBatch(tx, { id: batch.id, doneCount, failures, finishedAt: deps.clock.now() });
  });
  deps.onStep?.('finished');
}

async function waitOrGiveUp(
  deps: StatementDeps,
  work: { scope: Scope; batch: BatchRow; failures: readonly BatchFailure[]; missed: Missed; gotOn: boolean },
): Promise<void> {
  const { scope, batch, failures, missed, gotOn } = work;
  const now = deps.clock.now();
  const since = await withTenant(deps.database, scope, (tx) => noteMissed(tx, { id: batch.id, missed, gotOn, now }));
  if (missed.what === 'key' || since === undefined || now < endOfPatience(since)) throw new Error(missed.said);
  const failed = new Set(failures.map(({ subjectId }) => subjectId));
  const left = (await withTenant(deps.database, scope, (tx) => settlementsWithoutStatement(tx, batch.subject_ids))).filter((id) => !failed.has(id));
  // What was said last goes into brackets at the end: there it is shown in every language.
  const message = `No time stamp that can be used came for 24 hours. The settlement keeps its number: issue it again, or turn time stamps off first (${missed.said}).`;
  await finish(deps, { scope, batch, failures: [...failures, ...left.map((subjectId) => ({ subjectId, code: 'statement-not-stamped', message }))] });
}

type Scope = ReturnType<typeof workerScope>;

async function renderSlice(
  deps: StatementDeps,
  work: { scope: Scope; signer: OperatorSigner; batch: BatchRow; proofs: KnownProofs; settlementIds: readonly string[] },
): Promise<{ failures: BatchFailure[]; stored: number; missed?: Missed }> {
  const { scope, signer, batch, proofs, settlementIds } = work;
  const prepared = await withTenant(deps.database, scope, (tx) => prepareStatements(tx, settlementIds, proofs));
  deps.onStep?.('prepared');
  const made = await makeSideBySide(deps, prepared, signer);
  const statements = made.flatMap((one) => ('statement' in one ? [one.statement] : []));
  const failures = made.flatMap((one) => ('failure' in one ? [one.failure] : []));
  const missed = made.find((one) => 'missed' in one)?.missed;
  if (statements.length > 0) {
    const isStored = await withTenant(deps.database, scope, async (tx) => {
      await shareCertificates(tx);
      if (await isRevoked(tx, signer.certificateId)) return false;
      await storeStatements(deps, tx, { statements, by: batch.requested_by });
      return true;
    });
    if (!isStored) return { failures, stored: 0, missed: { what: 'key', why: 'revoked', said: 'the certificate was revoked meanwhile' } };
  }
  deps.onStep?.('stored');
  return { failures, stored: statements.length, ...(missed === undefined ? {} : { missed }) };
}

type Made = { statement: SignedStatement } | { missed: Missed } | { failure: BatchFailure };

/**
 * Pages and signatures one after the other (a core and a token do one at a time), and the authority is asked for all stamps of the slice at once: it takes
 * longer to answer than all the rest. Begins no more once something is missed. In the order of `prepared`.
 */
async function makeSideBySide(deps: StatementDeps, prepared: readonly PreparedStatement[], signer: OperatorSigner): Promise<Made[]> {
  const making: Promise<Made>[] = [];
  let isMissed = false;
  for (const each of prepared) {
    await new Promise<void>((signed) => {
      const made = madeOrFailure(deps, each, signer, signed);
      making.push(made);
      made
        .then((one) => {
          isMissed ||= 'missed' in one;
        })
        // What went wrong is told where all are awaited.
        .catch(() => undefined)
        .finally(signed);
    });
    if (isMissed) break;
    deps.onStep?.('rendered');
  }
  return Promise.all(making);
}

/** A statement that cannot be printed must not keep the others of the month from going out. */
async function madeOrFailure(deps: StatementDeps, prepared: PreparedStatement, signer: OperatorSigner, onSigned: () => void): Promise<Made> {
  try {
    return await makeStatement(deps, prepared, signer, onSigned);
  } catch (error) {
    deps.onBug({ error, settlementOf: prepared.settlementId });
    const message = 'The statement cannot be printed or signed. The settlement keeps its number.';
    return { failure: { subjectId: prepared.settlementId, code: 'statement-not-made', message } };
  }
}
