import type { TenantTransaction } from '#database/tenant';
import { joinLastWord } from '../settlement/notes.sql';
import { isReversed } from '../settlement/standing.sql';

export type OwnSiteRow = {
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly time_zone: string;
  readonly currency: string;
};

export async function readOwnSites(tx: TenantTransaction, siteIds: readonly string[]): Promise<OwnSiteRow[]> {
  const { rows } = await tx.sql<OwnSiteRow>(
    `SELECT id AS site_id, code AS site_code, name AS site_name, time_zone, currency FROM site
      WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY code`,
    [tx.tenantId, siteIds],
  );
  return rows;
}

/** The agreement that holds at each site on its day. */
export async function readAgreementsOn(tx: TenantTransaction, days: readonly { siteId: string; day: string }[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ site_id: string; id: string }>(
    `SELECT a.site_id, a.id FROM unnest($2::uuid[], $3::date[]) AS d (site_id, day)
       JOIN agreement a ON a.tenant_id = $1 AND a.site_id = d.site_id AND daterange(a.started_on, a.ended_on, '[)') @> d.day`,
    [tx.tenantId, days.map((each) => each.siteId), days.map((each) => each.day)],
  );
  return new Map(rows.map((row) => [row.site_id, row.id]));
}

export type IssuedRow = {
  readonly id: string;
  readonly site_id: string;
  readonly starts_on: string;
  readonly ends_before: string;
  readonly number: string;
  readonly currency: string;
  readonly site_share_minor: bigint;
  readonly payable_minor: bigint;
  readonly is_new: boolean;
  /** The last word of a question and its answer; null where nobody asked. */
  readonly asked_kind: 'questioned' | 'answered' | null;
  readonly asked_at: Date | null;
};

/**
 * The last issued settlements of each site that stand, newest first; new is one whose statement the account has not opened. Not one of
 * more than five years ago: who opened it is kept for six at least, and then nobody knows.
 */
export async function readIssued(tx: TenantTransaction, query: { siteIds: readonly string[]; perSite: number; accountId: string | null; now: Date }): Promise<IssuedRow[]> {
  const { rows } = await tx.sql<IssuedRow>(
    `SELECT x.*, x.ends_before > ($5::timestamptz - interval '5 years')::date AND NOT EXISTS (SELECT FROM statement_opening o WHERE o.tenant_id = $1 AND o.settlement_id = x.id AND o.account_id = $4) AS is_new,
            asked.kind AS asked_kind, asked.happened_at AS asked_at
       FROM unnest($2::uuid[]) AS wanted (site_id)
       CROSS JOIN LATERAL (
         SELECT tenant_id, id, site_id, starts_on, ends_before, number, currency, site_share_minor, payable_minor FROM settlement s
          WHERE s.tenant_id = $1 AND s.site_id = wanted.site_id AND s.state = 'issued' AND NOT ${isReversed('s')}
          ORDER BY starts_on DESC, round DESC LIMIT $3) x
       ${joinLastWord('question', { of: 'x', as: 'asked' })}
      ORDER BY x.site_id, x.starts_on DESC`,
    [tx.tenantId, query.siteIds, query.perSite, query.accountId, query.now],
  );
  return rows;
}
