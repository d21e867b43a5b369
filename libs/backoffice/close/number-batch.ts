import { dayInWords } from '#contracts/day-in-words';
import { formatInstant } from '#contracts/format';
import { withTenant, type TenantTransaction } from '#database/tenant';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import type { SettlementNumbered } from '#domain/evidence/leaf';
import { standingDigest } from '#domain/evidence/standing-digest';
import { settlementIssued } from '#domain/journal/entries';
import type { CurrencyCode } from '#domain/money/currency';
import type { SettlementResult } from '#domain/settlement/result';
import { insertRecoups, type NewRecoup } from '../advance/recoup.sql';
import { localDay } from '../collection/local-day';
import { lockLog, type LockedLog } from '../evidence/append';
import { closedWords } from '../journal/period';
import { shareJournal } from '../journal/period.sql';
import { postEntries } from '../journal/post';
import { insertOpenItems, type NewOpenItem } from '../open-item/open-item.sql';
import { shareAccountsOfPeriods } from '../payment/account.sql';
import { insertSetOffs } from '../payment/set-off.sql';
import { settlementDigest } from '../settlement/document';
import { whyNotFresh, type NotFresh } from '../settlement/fresh';
import { loadInputs, type Loaded } from '../settlement/inputs/load';
import { readResult } from '../settlement/inputs/stored';
import { lockPeriods } from '../settlement/inputs/targets.sql';
import {
  lockSettlements,
  markNumbered,
  periodsOfSettlements,
  readOperator,
  settleLateChanges,
  takeSerials,
  type NumberedRow,
  type ReviewedRow,
} from '../settlement/number.sql';
import { insertEvents } from '../settlement/save.sql';
import { finishBatch, takeBatch, type BatchFailure, type BatchRow } from './batch.sql';
import { enqueueBatches } from './enqueue-batches';
import { workerScope, type BatchJob, type WorkDeps } from './work';

/**
 * First phase of issue, in one transaction: everything that fixes a settlement happens together or not at all. The inputs
 * are read and hashed again under the periods' locks, so that nothing is numbered that is not known any more to be right;
 * then come number, journal entry and leaf of the evidence log. Locks in the order of the whole house: agreement, period,
 * settlement, journal, number counter, evidence. What is stale stays reviewed and is named among the failures.
 */
export async function numberBatch(deps: WorkDeps, job: BatchJob): Promise<void> {
  await withTenant(deps.database, workerScope(job, 'number'), async (tx) => {
    const batch = await takeBatch(tx, job.batchId);
    if (batch === undefined) return;
    deps.onStep?.('taken');
    const { fresh, failures } = await freshSettlements(tx, batch);
    deps.onStep?.('compared');
    if (fresh.length > 0) await numberAll(deps, tx, { batch, fresh });
    await finishBatch(tx, { id: batch.id, doneCount: fresh.length, failures, finishedAt: deps.clock.now() });
    deps.onStep?.('finished');
  });
}

const STANDING_SALT_BYTES = 16;

type Fresh = { readonly row: ReviewedRow; readonly result: SettlementResult; readonly lateChangeIds: readonly string[]; readonly onAccountIds: readonly string[] };

async function freshSettlements(tx: TenantTransaction, batch: BatchRow): Promise<{ fresh: Fresh[]; failures: BatchFailure[] }> {
  const periodIds = await periodsOfSettlements(tx, batch.subject_ids);
  await shareAccountsOfPeriods(tx, periodIds);
  await lockPeriods(tx, periodIds);
  // Numbered by an earlier batch, or taken back to draft: no concern of this one.
  const rows = await lockSettlements(tx, { ids: batch.subject_ids, state: 'reviewed' });
  const closedThrough = await shareJournal(tx);
  const loaded = new Map((await loadInputs(tx, rows.map((row) => row.period_id))).map((each) => [each.target.period_id, each]));
  const fresh: Fresh[] = [];
  const failures: BatchFailure[] = [];
  for (const row of rows) {
    const now: Loaded | undefined = loaded.get(row.period_id);
    if (now === undefined) throw new Error('a settlement whose period is gone');
    const result = readResult(row.result);
    const why = whyClosed(row, closedThrough) ?? whyNotFresh(row, result, now);
    if (why === undefined) fresh.push({ row, result, lateChangeIds: now.lateChangeIds, onAccountIds: now.onAccountIds });
    else failures.push({ subjectId: row.id, code: why.code, message: why.detail });
  }
  return { fresh, failures };
}

/** It would be booked where nothing is posted any more: the settlement waits, reviewed, for the journal to be reopened. */
function whyClosed(row: ReviewedRow, closedThrough: LocalDate | null): NotFresh | undefined {
  if (closedThrough === null || row.booked_on > closedThrough) return undefined;
  return { code: 'journal-closed', detail: `The period from ${dayInWords(row.starts_on)} to ${dayInWords(lastDayOf(row))}: ${closedWords({ day: row.booked_on, closedThrough })} The owner can reopen it.` };
}

async function numberAll(deps: WorkDeps, tx: TenantTransaction, work: { batch: BatchRow; fresh: readonly Fresh[] }): Promise<void> {
  const { batch, fresh } = work;
  const now = deps.clock.now();
  const numbered = await numbersFor(deps, tx, { rows: fresh.map(({ row }) => row), now });
  deps.onStep?.('numbers taken');
  await postEntries(tx, { entries: fresh.map((each) => entryOf(deps, each)), recordedAt: now });
  await insertOpenItems(tx, fresh.flatMap((each) => openItemsOf(deps, each)));
  deps.onStep?.('posted');
  await settleLateChanges(tx, fresh.flatMap(({ row, lateChangeIds }) => lateChangeIds.map((lateChangeId) => ({ lateChangeId, settlementId: row.id }))));
  await insertSetOffs(tx, fresh.flatMap(({ row, onAccountIds }) => onAccountIds.map((paymentId) => ({ paymentId, settlementId: row.id }))));
  await insertRecoups(tx, fresh.flatMap(recoupsOf));
  const ids = fresh.map(({ row }) => row.id);
  await insertEvents(tx, { ids: ids.map(() => deps.newId()), settlementIds: ids, kind: 'numbered', at: now, by: batch.requested_by });
  await enqueueBatches(tx, { closeRunId: batch.close_run_id, task: 'render', subjectIds: ids, requestedBy: batch.requested_by, now, newId: deps.newId });

  const log = await lockLog(tx, { now: deps.clock.now, randomBytes: deps.randomBytes });
  await markNumbered(tx, { ...numbered, logSize: log.head.size, logRoot: log.head.root, now });
  await appendLeaves(log, { fresh, numbered: numbered.rows, by: batch.requested_by, now });
  deps.onStep?.('appended');
}

async function numbersFor(
  deps: WorkDeps,
  tx: TenantTransaction,
  { rows, now }: { readonly rows: readonly ReviewedRow[]; readonly now: Date },
): Promise<{ rows: NumberedRow[]; year: number; issuedOn: string }> {
  const operator = await readOperator(tx);
  const issuedOn = localDay({ instant: now, timeZone: operator.time_zone });
  if (issuedOn === null) throw new Error('the clock is outside the calendar');
  const year = Number(issuedOn.slice(0, 4));
  const first = await takeSerials(tx, { year, count: rows.length });
  const numbered = rows.map((row, index) => {
    const serial = first + index;
    const number = statementNumber({ operatorCode: operator.code, year, serial });
    const digest = settlementDigest({ settlementId: row.id, number, issuedOn, inputsText: row.inputs, resultText: row.result });
    const salt = Buffer.from(deps.randomBytes(STANDING_SALT_BYTES));
    return { id: row.id, serial, number, digest, bookedOn: row.booked_on, standing: { salt, digest: Buffer.from(standingDigest({ salt, settlementDigest: digest })) } };
  });
  return { rows: numbered, year, issuedOn };
}

/** `LAKESIDE-2026-000123`: who issued it, the local year of issue, and a serial without a gap. */
export function statementNumber(parts: { operatorCode: string; year: number; serial: number }): string {
  return `${parts.operatorCode.toUpperCase()}-${parts.year}-${String(parts.serial).padStart(6, '0')}`;
}

function entryOf(deps: WorkDeps, { row, result }: Fresh): ReturnType<typeof settlementIssued> {
  return settlementIssued({ id: deps.newId(), date: row.booked_on, currency: row.currency as CurrencyCode, sourceId: row.id }, result);
}

/** What is to be paid to, or by, each payee. What is carried instead is in the next settlement. */
function openItemsOf(deps: WorkDeps, { row, result }: Fresh): NewOpenItem[] {
  return result.payables
    .filter(({ outcome }) => outcome === 'due' || outcome === 'owed')
    .map(({ party, amountMinor }) => ({
      id: deps.newId(),
      settlementId: row.id,
      agreementId: row.agreement_id,
      siteId: row.site_id,
      partyId: party,
      currency: row.currency,
      amountMinor,
      datedOn: row.booked_on,
    }));
}

/** What it works off of each advance. */
function recoupsOf({ row, result }: Fresh): NewRecoup[] {
  return result.payables.flatMap(({ advances }) =>
    advances.filter(({ repaidMinor }) => repaidMinor > 0n).map(({ advanceId, repaidMinor }) => ({ advanceId, settlementId: row.id, amountMinor: repaidMinor })),
  );
}

function lastDayOf(row: ReviewedRow): LocalDate {
  return addDays(row.ends_before as LocalDate, -1);
}

async function appendLeaves(
  log: LockedLog,
  written: { fresh: readonly Fresh[]; numbered: readonly NumberedRow[]; by: string; now: Date },
): Promise<void> {
  const entries = written.fresh.map(({ row }, index) => {
    const numbered = written.numbered[index];
    if (numbered === undefined) throw new Error('a settlement without its number');
    const entry: SettlementNumbered = {
      format: 1,
      kind: 'settlement-numbered',
      settlementId: row.id,
      agreementId: row.agreement_id,
      siteId: row.site_id,
      statementNumber: numbered.number,
      periodStart: row.starts_on,
      periodEnd: lastDayOf(row),
      engineVersion: row.engine_version,
      settlementDigest: numbered.digest.toString('hex'),
      numberedBy: written.by,
      recordedAt: formatInstant(written.now),
    };
    return { subjectId: row.id, entry };
  });
  await log.append(entries);
}
