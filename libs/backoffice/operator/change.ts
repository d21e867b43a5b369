import type { ChangeOperator, Operator } from '#contracts/operator';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { withTenant } from '#database/tenant';
import { denial } from '#domain/permissions/can';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { whyNoTrialStamp } from '../statement/trial-stamp';
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
  // An authority may take its time, for which no transaction is held.
  const wrong = command.statementsStamped === true && denial(caller, 'operator.change') === null ? await whyNotStamped(deps, caller) : undefined;
  return perform(deps, caller, 'operator.change', async ({ tx }) => {
    const before = await selectOperator(tx);
    if (before === null) return refused('not-found');
    if (wrong !== undefined && !before.statements_stamped) return refusedFields('invalid-command', [wrong]);
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

/** What keeps stamps from being turned on, by a trial of one; nothing where they are on already. */
async function whyNotStamped(deps: Backoffice, caller: Caller): Promise<WrongField | undefined> {
  const before = await withTenant(deps.database, caller, selectOperator);
  if (before === null || before.statements_stamped) return undefined;
  if (deps.timestampAuthority === undefined || deps.timestampAuthority.trust.anchors.length === 0) return NOBODY_STAMPS;
  const said = await whyNoTrialStamp(deps, caller);
  return said === undefined ? undefined : { path: ['statementsStamped'], code: 'no-usable-timestamp', message: `A trial gave no time stamp that can be used: ${said}.` };
}
