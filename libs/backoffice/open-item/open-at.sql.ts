import { writtenOffAt } from './write-off.sql';

/**
 * SQL of the items that were open at the end of a day by the dates of the books, with what was open of each; `day` is a
 * parameter of the statement, the operator is $1.
 */
export function openAt(day: string): string {
  return `SELECT i.id, i.settlement_id, i.agreement_id, i.site_id, i.party_id, i.currency, i.dated_on, i.amount_minor - settled.minor AS open_minor
            FROM open_item i
            CROSS JOIN LATERAL (
              SELECT coalesce(sum(m.amount_minor), 0)::bigint + ${writtenOffAt('i', day)} AS minor FROM payment_match m
               WHERE m.tenant_id = i.tenant_id AND m.open_item_id = i.id AND m.accounting_date <= ${day}) settled
           WHERE i.tenant_id = $1 AND i.dated_on <= ${day} AND settled.minor <> i.amount_minor
             AND NOT EXISTS (SELECT FROM settlement_reversal r WHERE r.tenant_id = i.tenant_id AND r.settlement_id = i.settlement_id AND r.accounting_date <= ${day})`;
}
