import type { Operator } from '#contracts/operator';
import type { OperatorRow } from './operator.sql';

/** A stored operator as the API shows it. */
export function toOperator(row: OperatorRow): Operator {
  return {
    id: row.tenant_id,
    code: row.code,
    name: row.name,
    country: row.country,
    currency: row.currency,
    locale: row.locale,
    timeZone: row.time_zone,
    paper: row.paper,
    addressLines: row.address_lines,
    csvDecimal: row.csv_decimal,
    verificationAddress: row.verification_address,
    statementMails: row.statement_mails,
    paymentDays: row.payment_days,
    statementsStamped: row.statements_stamped,
    secondFactorRequired: row.second_factor_required,
    revision: row.revision,
  };
}
