import type { TenantTransaction } from '#database/tenant';
import { goesByMeters } from '../collection/metered.sql';
import type { NewVariance } from './variance.sql';

/**
 * Of boxes whose meters were not read those that somebody looks at, by the id of their variance: it is the second time in a
 * row for a meter of that tender, or the site is paid by the meters. All of them are written already.
 */
export async function selectNotReadTooOften(tx: TenantTransaction, variances: readonly Pick<NewVariance, 'id'>[]): Promise<ReadonlySet<string>> {
  if (variances.length === 0) return new Set();
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT box.id
       FROM cash_variance box
       LEFT JOIN LATERAL (SELECT earlier.unknown FROM cash_variance earlier
                           WHERE earlier.tenant_id = $1 AND earlier.machine_id = box.machine_id AND earlier.tender = box.tender AND earlier.stands AND earlier.happened_at < box.happened_at
                           ORDER BY earlier.happened_at DESC LIMIT 1) missed ON true
       LEFT JOIN agreement a ON a.tenant_id = $1 AND a.site_id = box.site_id AND a.started_on <= box.accounting_date AND (a.ended_on IS NULL OR box.accounting_date < a.ended_on)
      WHERE box.tenant_id = $1 AND box.id = ANY ($2::uuid[])
        AND ('not-read' = ANY (missed.unknown) OR (a.id IS NOT NULL AND ${goesByMeters({ agreementId: 'a.id', day: 'box.accounting_date' })}))`,
    [tx.tenantId, variances.map(({ id }) => id)],
  );
  return new Set(rows.map(({ id }) => id));
}
