import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { stands } from '../settlement/standing.sql';

/**
 * `correction`: of a count, a slip, card takings or a break-in; `handed`: of cash handed over, of which the next settlement
 * sets off the difference; `end`: the agreement ended within the period.
 */
export type LateCause = 'collection' | 'correction' | 'handed' | 'cashless' | 'break-in' | 'terms' | 'tax' | 'end';

/**
 * Notes what changed in periods that no settlement of their own can take in any more: the period, or a later one of the
 * same agreement, is numbered already. It is settled, by difference, in the next settlement. The caller holds the locks
 * of these periods and of the later ones.
 */
export async function insertLateChanges(
  tx: TenantTransaction,
  changes: { cause: LateCause; sources: readonly { sourceId: string; periodId: string }[]; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO late_change (tenant_id, id, period_id, cause, source_id, recorded_at)
     SELECT $1, uuidv7(), p.id, $2, s.source_id, $3
       FROM unnest($4::uuid[], $5::uuid[]) AS s (source_id, period_id)
       JOIN period p ON p.tenant_id = $1 AND p.id = s.period_id
      WHERE EXISTS (SELECT FROM settlement x WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id
                       AND x.starts_on >= p.starts_on AND ${stands('x')})
     -- One change may reach a period by more than one of its boxes.
     ON CONFLICT (tenant_id, period_id, cause, source_id) DO NOTHING`,
    [tx.tenantId, changes.cause, changes.now, changes.sources.map((s) => s.sourceId), changes.sources.map((s) => s.periodId)],
  );
}

export type SettledPeriod = { id: string; starts_on: LocalDate };

/** Periods of these agreements with a day from `from` up to, not including, `before`, that are numbered or lie before one that is. */
export async function selectSettledPeriods(
  tx: TenantTransaction,
  wanted: { agreementIds: readonly string[]; from: LocalDate; before: LocalDate | null },
): Promise<SettledPeriod[]> {
  const { rows } = await tx.sql<SettledPeriod>(
    `SELECT p.id, p.starts_on FROM period p
      WHERE p.tenant_id = $1 AND p.agreement_id = ANY ($2::uuid[]) AND p.ends_before > $3::date AND ($4::date IS NULL OR p.starts_on < $4)
        AND EXISTS (SELECT FROM settlement x WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id
                       AND x.starts_on >= p.starts_on AND ${stands('x')})
      ORDER BY p.starts_on, p.id`,
    [tx.tenantId, wanted.agreementIds, wanted.from, wanted.before],
  );
  return rows;
}
