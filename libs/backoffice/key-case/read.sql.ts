import type { KeyCaseStep, KeyCaseSummary } from '#contracts/key-case';
import type { TenantTransaction } from '#database/tenant';
import { custodyAt } from '../key-question/whereabouts.sql';

export type CaseRow = {
  id: string;
  key_code_id: string;
  code: string;
  class: 'access' | 'cash-box';
  outside_copies: boolean;
  cause: KeyCaseSummary['cause'];
  state: 'open' | 'closed' | 'ended';
  happened_at: Date;
  surely_held_until: Date;
  opened_at: Date;
  opened_by: string;
  reason: string;
  new_key_code_id: string | null;
  new_code: string | null;
  closed_at: Date | null;
  closed_by: string | null;
  closing_reason: string | null;
};

const columns = `c.id, c.key_code_id, k.code, c.class, k.outside_copies, c.cause, c.state, c.happened_at, c.surely_held_until, c.opened_at, c.opened_by, c.reason,
  c.new_key_code_id, n.code AS new_code, c.closed_at, c.closed_by, c.closing_reason`;
const joins = `JOIN key_code k ON k.tenant_id = $1 AND k.id = c.key_code_id LEFT JOIN key_code n ON n.tenant_id = $1 AND n.id = c.new_key_code_id`;

export async function selectCase(tx: TenantTransaction, id: string): Promise<CaseRow | null> {
  const { rows } = await tx.sql<CaseRow>(`SELECT ${columns} FROM key_case c ${joins} WHERE c.tenant_id = $1 AND c.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export type CasesQuery = { readonly after: readonly [openedAt: string, id: string] | null; readonly limit: number; readonly state: string | null; readonly keyCodeId: string | null };

/** Cases, those opened last first. */
export async function selectCases(tx: TenantTransaction, query: CasesQuery): Promise<CaseRow[]> {
  const [openedAt, id] = query.after ?? [null, null];
  const { rows } = await tx.sql<CaseRow>(
    `SELECT ${columns} FROM key_case c ${joins}
      WHERE c.tenant_id = $1 AND ($2::timestamptz IS NULL OR (c.opened_at, c.id) < ($2, $3::uuid)) AND ($4::text IS NULL OR c.state = $4) AND ($5::uuid IS NULL OR c.key_code_id = $5)
      ORDER BY c.opened_at DESC, c.id DESC LIMIT $6`,
    [tx.tenantId, openedAt, id, query.state, query.keyCodeId, query.limit + 1],
  );
  return rows;
}

export type CaseLockRow = {
  key_case_id: string;
  lock_id: string;
  machine_id: string;
  machine_tag: string;
  site_id: string | null;
  site_code: string | null;
  site_name: string | null;
  place: string;
  opens: 'play-area' | 'cash-box' | 'everything';
  class: 'access' | 'cash-box';
  recorded_at: Date;
  removed_at: Date | null;
  removal_recorded_by: string | null;
};

/**
 * Locks of which each case takes care: they take the cut, or took it when its loss was noticed. A lock that was entered or
 * fitted only while the case is open is among them.
 */
export async function selectCaseLocks(tx: TenantTransaction, query: { caseIds: readonly string[]; now: Date }): Promise<CaseLockRow[]> {
  const { rows } = await tx.sql<CaseLockRow>(
    `SELECT c.id AS key_case_id, l.id AS lock_id, l.machine_id, m.tag AS machine_tag, here.site_id, here.site_code, here.site_name,
            l.place, l.opens, l.class, l.recorded_at, l.removed_at, l.removal_recorded_by
       FROM key_case c
       JOIN machine_lock l ON l.tenant_id = $1 AND l.key_code_id = c.key_code_id AND (l.removed_at IS NULL OR l.removed_at > c.happened_at)
                          AND (c.closed_at IS NULL OR l.fitted_at < c.closed_at)
       JOIN machine m ON m.tenant_id = $1 AND m.id = l.machine_id
       LEFT JOIN LATERAL (
         SELECT s.id AS site_id, s.code AS site_code, s.name AS site_name
           FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
          WHERE p.tenant_id = $1 AND p.machine_id = l.machine_id
            AND p.placed_on <= (coalesce(c.closed_at, $3::timestamptz) AT TIME ZONE s.time_zone)::date
            AND (p.removed_on IS NULL OR p.removed_on > (coalesce(c.closed_at, $3::timestamptz) AT TIME ZONE s.time_zone)::date)
          ORDER BY p.placed_on DESC LIMIT 1) here ON true
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[])
      ORDER BY m.tag, l.place, l.id`,
    [tx.tenantId, query.caseIds, query.now],
  );
  return rows;
}

export type StepRow = {
  id: string;
  key_case_id: string;
  kind: KeyCaseStep['kind'];
  machine_lock_id: string | null;
  key_copy_id: string | null;
  happened_at: Date;
  recorded_at: Date;
  recorded_by: string;
  note: string;
};

export async function selectSteps(tx: TenantTransaction, caseIds: readonly string[]): Promise<StepRow[]> {
  const { rows } = await tx.sql<StepRow>(
    `SELECT id, key_case_id, kind, machine_lock_id, key_copy_id, happened_at, recorded_at, recorded_by, note
       FROM key_case_step WHERE tenant_id = $1 AND key_case_id = ANY ($2::uuid[]) ORDER BY recorded_at, id`,
    [tx.tenantId, caseIds],
  );
  return rows;
}

/**
 * Old copies of a case that stay out by somebody's word ($2 the case, $3 now). A word is about the copy with whoever had it
 * then: once the copy leaves them, for a moment even, or turns out never to have been there, the word is about nothing.
 */
export async function selectLeftOut(tx: TenantTransaction, query: { caseId: string; now: Date }): Promise<string[]> {
  const { rows } = await tx.sql<{ key_copy_id: string }>(
    `SELECT DISTINCT step.key_copy_id
       FROM key_case_step step
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = step.key_copy_id
       CROSS JOIN LATERAL (${custodyAt('copy', 'step.recorded_at', 'step.recorded_at')}) spoken
      WHERE step.tenant_id = $1 AND step.key_case_id = $2 AND step.kind = 'copy-left-out' AND spoken.state = 'held'
        AND NOT EXISTS (SELECT FROM custody c
                         WHERE c.tenant_id = $1 AND c.key_copy_id = step.key_copy_id AND c.known_to IS NULL
                           AND c.held_from <= $3 AND (c.held_to IS NULL OR c.held_to > step.recorded_at)
                           AND (c.person_id, c.store_id, c.place_id) IS DISTINCT FROM (spoken.person_id, spoken.store_id, spoken.place_id))`,
    [tx.tenantId, query.caseId, query.now],
  );
  return rows.map((row) => row.key_copy_id);
}

export type LostCopyRow = { key_case_id: string; key_copy_id: string; number: string; event_id: string; surely_held_until: Date; missing: boolean };

/** Copies that were reported missing, and whether they still are. */
export async function selectLostCopies(tx: TenantTransaction, caseIds: readonly string[]): Promise<LostCopyRow[]> {
  const { rows } = await tx.sql<LostCopyRow>(
    `SELECT c.key_case_id, c.key_copy_id, copy.number, c.event_id, c.surely_held_until, held.state = 'missing' AS missing
       FROM key_case_copy c
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = c.key_copy_id
       JOIN custody held ON held.tenant_id = $1 AND held.key_copy_id = c.key_copy_id AND held.held_to IS NULL AND held.known_to IS NULL
      WHERE c.tenant_id = $1 AND c.key_case_id = ANY ($2::uuid[])
      ORDER BY c.recorded_at, copy.number`,
    [tx.tenantId, caseIds],
  );
  return rows;
}
