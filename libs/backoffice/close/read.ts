import type { Close, CloseFailure, CloseListQuery, CloseSummary, Cycle } from '#contracts/close';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { z } from 'zod';
import type { UntoldBox } from '#contracts/untold-box';
import type { Caller } from '../caller';
import { untoldBoxes } from '../collection/unmetered';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { endOfPatience } from './patience';
import { readFailures, readRuns, type FailureRow, type RunRow } from './run.sql';

const FAILURES_SHOWN = 1000;

/** A run with its progress and what could not be done. */
export function readClose(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<Close>> {
  return perform<Close>(deps, caller, 'close.read', async ({ tx }) => {
    const close = await closeBody(tx, id);
    return close === undefined ? refused('not-found') : done(close);
  });
}

/** Runs, the newest period first. */
export function listCloses(deps: Backoffice, caller: Caller, query: CloseListQuery): Promise<Outcome<Page<CloseSummary>>> {
  return perform<Page<CloseSummary>>(deps, caller, 'close.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await readRuns(tx, {
      cycle: query.cycle,
      after: after === null ? undefined : { startsOn: after[0], id: after[1] },
      limit: query.limit + 1,
    });
    return done(toPage({ rows, limit: query.limit, item: summaryOf, keyOf: (row) => [row.starts_on, row.id] }));
  });
}

/** For use cases that answer with the run that they worked on. */
export async function closeBody(tx: TenantTransaction, id: string): Promise<Close | undefined> {
  const [run] = await readRuns(tx, { id, limit: 1 });
  if (run === undefined) return undefined;
  const failures = run.failed === 0n ? [] : await readFailures(tx, { closeRunId: id, limit: FAILURES_SHOWN });
  const untold = await untoldBoxesOf(tx, failures);
  return {
    ...summaryOf(run),
    failures: failures.map(
      (row): CloseFailure => ({
        step: row.step,
        agreementId: row.agreement_id,
        settlementId: row.settlement_id,
        siteId: row.site_id,
        siteCode: row.site_code,
        code: row.code,
        message: row.message,
        machines: row.machines,
        untoldBoxes: [...(untold.get(row) ?? [])],
      }),
    ),
  };
}

/** Of failures that wait for boxes whose meters cannot tell what they imply: those of which that is still so. */
export async function untoldBoxesOf(tx: TenantTransaction, failures: readonly FailureRow[]): Promise<ReadonlyMap<FailureRow, readonly UntoldBox[]>> {
  const boxes = await untoldBoxes(tx, [...new Set(failures.flatMap((row) => row.collection_ids))]);
  return new Map(failures.map((row) => [row, boxes.filter(({ collectionId }) => row.collection_ids.includes(collectionId))]));
}

function summaryOf(run: RunRow): CloseSummary {
  return {
    id: run.id,
    cycle: run.cycle as Cycle,
    startsOn: run.starts_on as LocalDate,
    endsBefore: run.ends_before as LocalDate,
    requestedBy: run.requested_by,
    requestedAt: formatInstant(run.requested_at),
    progress: {
      agreements: Number(run.agreements),
      settled: Number(run.settled),
      reviewed: Number(run.reviewed),
      numbered: Number(run.numbered),
      issued: Number(run.issued),
      failed: Number(run.failed),
      running: run.running,
      keyMissed: run.key_missed_at === null || run.key_missed_why === null ? null : { since: formatInstant(run.key_missed_at), why: run.key_missed_why, said: run.key_missed ?? '' },
      stampMissed:
        run.stamp_missed_at === null ? null : { since: formatInstant(run.stamp_missed_at), until: formatInstant(endOfPatience(run.stamp_missed_at)), said: run.stamp_missed ?? '' },
    },
  };
}
