/** SQL conditions on a settlement, for the alias under which a statement has it. */

/** It was reversed: its inputs are free again, and nothing goes by its figures any more. */
export function isReversed(alias: string): string {
  return `EXISTS (SELECT FROM settlement_reversal reversal WHERE reversal.tenant_id = ${alias}.tenant_id AND reversal.settlement_id = ${alias}.id)`;
}

/** It has its number and was not reversed: its figures are what the books say. */
export function stands(alias: string): string {
  return `(${alias}.state IN ('numbered', 'issued') AND NOT ${isReversed(alias)})`;
}

/** A settlement that stands has taken this change after issue in. */
export function isSettled(lateChange: string): string {
  return `EXISTS (SELECT FROM late_change_settled done JOIN settlement taking ON taking.tenant_id = done.tenant_id AND taking.id = done.settlement_id
             WHERE done.tenant_id = ${lateChange}.tenant_id AND done.late_change_id = ${lateChange}.id AND NOT ${isReversed('taking')})`;
}
