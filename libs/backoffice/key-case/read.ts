import { formatInstant } from '#contracts/format';
import type { KeyCase, KeyCaseListQuery, KeyCaseSummary } from '#contracts/key-case';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { readPlan } from './plan';
import { selectCase, selectCaseLocks, selectCases, selectLostCopies, selectSteps, type CaseLockRow, type CaseRow, type LostCopyRow, type StepRow } from './read.sql';
import { toProgress } from './to-plan';

/** One case with its plan. */
export async function readKeyCase(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<KeyCase>> {
  return perform(deps, caller, 'key-case.read', async ({ tx, now }) => ((await selectCase(tx, query.id)) === null ? refused('not-found') : done(await readCase(tx, { id: query.id, now, caller }))));
}

const cursorSchema = z.tuple([z.iso.datetime(), z.uuid()]);

/** Cases with how far each is, those opened last first. */
export async function listKeyCases(deps: Backoffice, caller: Caller, query: KeyCaseListQuery): Promise<Outcome<Page<KeyCaseSummary>>> {
  return perform(deps, caller, 'key-case.read', async ({ tx, now }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectCases(tx, { after, limit: query.limit, state: query.state ?? null, keyCodeId: query.keyCodeId ?? null });
    const page = toPage({ rows, limit: query.limit, item: (row) => row, keyOf: (row) => [formatInstant(row.opened_at), row.id] });
    const parts = await readParts(tx, { cases: page.items, now });
    return done({ ...page, items: page.items.map((row) => toSummary(row, partsOf(parts, row), now)) });
  });
}

/** A case that is in the books, as it stands within this transaction. A fixed number of statements, whatever its locks. */
export async function readCase(tx: TenantTransaction, query: { readonly id: string; readonly now: Date; readonly caller: Caller }): Promise<KeyCase> {
  const row = await selectCase(tx, query.id);
  if (row === null) throw new Error(`case ${query.id} is gone`);
  const parts = partsOf(await readParts(tx, { cases: [row], now: query.now }), row);
  return { ...toSummary(row, parts, query.now), ...(await readPlan(tx, { row, ...parts, now: query.now, caller: query.caller })) };
}

export type CaseParts = { readonly locks: readonly CaseLockRow[]; readonly steps: readonly StepRow[]; readonly lost: readonly LostCopyRow[] };

async function readParts(tx: TenantTransaction, query: { cases: readonly CaseRow[]; now: Date }): Promise<CaseParts> {
  const caseIds = query.cases.map(({ id }) => id);
  return { locks: await selectCaseLocks(tx, { caseIds, now: query.now }), steps: await selectSteps(tx, caseIds), lost: await selectLostCopies(tx, caseIds) };
}

function partsOf(parts: CaseParts, { id }: CaseRow): CaseParts {
  const own = <Row extends { key_case_id: string }>(rows: readonly Row[]): Row[] => rows.filter((row) => row.key_case_id === id);
  return { locks: own(parts.locks), steps: own(parts.steps), lost: own(parts.lost) };
}

function toSummary(row: CaseRow, parts: CaseParts, now: Date): KeyCaseSummary {
  const progress = toProgress(row, parts, now);
  return {
    id: row.id,
    keyCode: { keyCodeId: row.key_code_id, code: row.code, class: row.class, outsideCopies: row.outside_copies },
    cause: row.cause,
    state: row.state === 'open' && progress.changed === progress.locks ? 'locks-changed' : row.state,
    happenedAt: formatInstant(row.happened_at),
    surelyHeldUntil: formatInstant(row.surely_held_until),
    openedAt: formatInstant(row.opened_at),
    openedBy: row.opened_by,
    reason: row.reason,
    newCode: row.new_key_code_id === null || row.new_code === null ? null : { keyCodeId: row.new_key_code_id, code: row.new_code },
    lostCopies: parts.lost.map((lost) => ({ keyCopyId: lost.key_copy_id, number: lost.number, eventId: lost.event_id, surelyHeldUntil: formatInstant(lost.surely_held_until), found: !lost.missing })),
    progress,
    closed: row.closed_at === null || row.closed_by === null || row.closing_reason === null ? null : { at: formatInstant(row.closed_at), by: row.closed_by, reason: row.closing_reason },
  };
}
