import type { TenantTransaction } from '#database/tenant';
import { isReversed } from '../settlement/standing.sql';

/** An advance with what may be worked off of it, as text, because it comes as JSON. */
export type OpenAdvanceRow = { readonly id: string; readonly party_id: string; readonly open_minor: string };

/** SQL of what is open of the advance that row `alias` is, whatever the day under which the books have each part. */
export function openMinorOf(alias: string): string {
  return `(${alias}.amount_minor
            - (SELECT coalesce(sum(d.amount_minor), 0) FROM advance_reduction d WHERE d.tenant_id = ${alias}.tenant_id AND d.advance_id = ${alias}.id)
            - (SELECT coalesce(sum(c.amount_minor), 0) FROM advance_recoup c JOIN settlement taking ON taking.tenant_id = c.tenant_id AND taking.id = c.settlement_id
                WHERE c.tenant_id = ${alias}.tenant_id AND c.advance_id = ${alias}.id AND NOT ${isReversed('taking')}))::bigint`;
}

/**
 * SQL of the least that the books have open of the advance that row `alias` is, at the end of a day and of every later one. More
 * cannot be taken off on that day: what was paid back by mistake and entered again opens the advance only from that entry on.
 */
function leastOpenMinorFrom(alias: string, day: string): string {
  const of = (row: string): string => `${row}.tenant_id = ${alias}.tenant_id AND ${row}.advance_id = ${alias}.id`;
  return `(SELECT min(open.minor)::bigint
             FROM (SELECT step.day, sum(step.minor) OVER (ORDER BY step.day) AS minor
                     FROM (SELECT ${alias}.accounting_date AS day, ${alias}.amount_minor AS minor
                           UNION ALL SELECT ${day}, 0
                           UNION ALL SELECT d.accounting_date, -d.amount_minor FROM advance_reduction d WHERE ${of('d')}
                           UNION ALL SELECT taking.accounting_date, -c.amount_minor
                             FROM advance_recoup c JOIN settlement taking ON taking.tenant_id = c.tenant_id AND taking.id = c.settlement_id WHERE ${of('c')}
                           UNION ALL SELECT r.accounting_date, c.amount_minor
                             FROM advance_recoup c JOIN settlement_reversal r ON r.tenant_id = c.tenant_id AND r.settlement_id = c.settlement_id WHERE ${of('c')}) step) open
            WHERE open.day >= ${day})`;
}

/**
 * SQL of a JSON list: the open advances of the agreement that period `alias` belongs to, as {@link OpenAdvanceRow}, with what a
 * settlement that the books get on `day` may work off. One that was given after the period is for the next. A part of a larger
 * statement, for a close reads it for every site.
 */
export function openAdvancesOf(alias: string, day: string): string {
  return `(SELECT coalesce(json_agg(json_build_object('id', v.id, 'party_id', v.party_id, 'open_minor', v.open_minor::text) ORDER BY v.given_on, v.id), '[]')
             FROM (SELECT given.id, given.party_id, given.given_on, ${leastOpenMinorFrom('given', day)} AS open_minor FROM advance given
                    WHERE given.tenant_id = ${alias}.tenant_id AND given.agreement_id = ${alias}.agreement_id AND given.accounting_date < ${alias}.ends_before) v
            WHERE v.open_minor > 0)`;
}

export type NewRecoup = { readonly advanceId: string; readonly settlementId: string; readonly amountMinor: bigint };

/** Says what settlements worked off. The database refuses more than is open. */
export async function insertRecoups(tx: TenantTransaction, recoups: readonly NewRecoup[]): Promise<void> {
  if (recoups.length === 0) return;
  await tx.sql(
    `INSERT INTO advance_recoup (tenant_id, advance_id, settlement_id, amount_minor)
     SELECT $1, r.advance_id, r.settlement_id, r.amount_minor FROM unnest($2::uuid[], $3::uuid[], $4::bigint[]) AS r (advance_id, settlement_id, amount_minor)`,
    [tx.tenantId, recoups.map((each) => each.advanceId), recoups.map((each) => each.settlementId), recoups.map((each) => each.amountMinor)],
  );
}
