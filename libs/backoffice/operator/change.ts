import type { ChangeOperator, Operator } from '#contracts/operator';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectOperator, updateOperator } from './operator.sql';
import { toOperator } from './to-operator';

const NOBODY_STAMPS: WrongField = {
  path: ['statementsStamped'],
  code: 'no-timestamp-authority',
  message: 'This server names no time-stamp authority. Whoever runs it sets TIMESTAMP_AUTHORITY_URL and TIMESTAMP_AUTHORITY_CERTIFICATES, for api and worker alike.',
};

/** Changes the settings that are named. Code, country and currency stay for good: books and numbers refer to them. */
export async function changeOperator(
  deps: Backoffice,
  caller: Caller,
  command: ChangeOperator & { expectedRevision: number },
): Promise<Outcome<Operator>> {
  return perform(deps, caller, 'operator.change', async ({ tx }) => {
    const before = await selectOperator(tx);
    if (before === null) return refused('not-found');
    if (command.statementsStamped === true && !before.statements_stamped && deps.canStamp !== true) return refusedFields('invalid-command', [NOBODY_STAMPS]);
    const operator = {
      ...before,
      name: command.name ?? before.name,
      locale: command.locale ?? before.locale,
      time_zone: command.timeZone ?? before.time_zone,
      paper: command.paper ?? before.paper,
      address_lines: command.addressLines ?? before.address_lines,
      csv_decimal: command.csvDecimal ?? before.csv_decimal,
      verification_address: command.verificationAddress === undefined ? before.verification_address : command.verificationAddress,
      statement_mails: command.statementMails ?? before.statement_mails,
      payment_days: command.paymentDays === undefined ? before.payment_days : command.paymentDays,
      statements_stamped: command.statementsStamped ?? before.statements_stamped,
      second_factor_required: command.secondFactorRequired ?? before.second_factor_required,
    };
    const isChanged = await updateOperator(tx, { operator, expectedRevision: command.expectedRevision });
    const after = isChanged ? await selectOperator(tx) : null;
    return after === null ? refused('changed-meanwhile') : done(toOperator(after));
  });
}
