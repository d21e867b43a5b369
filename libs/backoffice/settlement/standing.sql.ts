/** SQL conditions on a settlement, for the alias under which a statement has it. */

/** It was reversed: its inputs are free again, and nothing goes by its figures any more. */
export function isReversed(alias: string): string {
  return `EXISTS (SELECT FROM settlement_reversal reversal WHERE reversal.tenant_id = ${alias}.tenant_id AND reversal.settlement_id = ${alias}.id)`;
}

/** It has its number and was not reversed: its figures are what the books say. */
export function stands(alias: string): string {
  return `(${alias}.state IN ('numbered', 'issued') AND NOT ${isReversed(alias)})`;
}

/**
 * Query of a part `taken_back`, for a WITH: what was reversed, and the day under which the books have each reversal. Reversals
 * are few, so they are looked up once and not for each settlement. $1 is the tenant.
 */
export const takenBack = `SELECT x.tenant_id, x.agreement_id, x.starts_on, x.round, r.accounting_date
         FROM settlement_reversal r JOIN settlement x ON x.tenant_id = r.tenant_id AND x.id = r.settlement_id WHERE r.tenant_id = $1`;

/**
 * Day under which the books have, or will have, the settlement of a period: its last day, so that takings and what they were
 * settled into stand in the same month. Where one before it was taken back later than that, that day: until then the books
 * hold the one that was taken back. `alias` has agreement_id, starts_on and ends_before; the statement has `taken_back`.
 */
export function bookedOn(alias: string): string {
  return `greatest(${alias}.ends_before - 1, (SELECT max(t.accounting_date) FROM taken_back t WHERE t.agreement_id = ${alias}.agreement_id AND t.starts_on <= ${alias}.starts_on))`;
}

/** A settlement that stands has taken this change after issue in. */
export function isSettled(lateChange: string): string {
  return `EXISTS (SELECT FROM late_change_settled done JOIN settlement taking ON taking.tenant_id = done.tenant_id AND taking.id = done.settlement_id
             WHERE done.tenant_id = ${lateChange}.tenant_id AND done.late_change_id = ${lateChange}.id AND NOT ${isReversed('taking')})`;
}
