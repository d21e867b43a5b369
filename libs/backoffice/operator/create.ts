import { done, refused, type Outcome } from '#contracts/outcome';
import type { CreatedLink } from '#contracts/member';
import type { CreateOperator, Operator } from '#contracts/operator';
import { constraintViolationOf } from '#database/constraint';
import { withTenant } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import { writeInvitation } from '../identity/create-link';
import { insertOperator, selectOperator } from './operator.sql';
import { toOperator } from './to-operator';

/** Countries whose offices print on Letter: ISO 216 is the rule elsewhere. Common practice, no source. */
const letterCountries = new Set(['US', 'CA', 'MX', 'PH', 'CL', 'CO', 'VE', 'GT', 'CR', 'PA', 'SV', 'NI', 'PR']);
/** Countries that write 1,5. A first setting, which the owner may change. Common practice, no source. */
const pointCountries = new Set(['US', 'CA', 'MX', 'GB', 'IE', 'AU', 'NZ', 'JP', 'CN', 'KR', 'TH', 'SG', 'HK', 'IL', 'IN', 'PH', 'MY', 'CH', 'MT', 'PR']);

export type CreatedOperator = { operator: Operator; invitation: CreatedLink };

/**
 * Creates an operator and invites its first owner. There is no role that could be asked for leave here, so it is not reachable
 * over the network: only commands on the server's own terminal call it.
 */
export async function createOperator(
  deps: Pick<Backoffice, 'database' | 'clock' | 'newId' | 'publicUrl'>,
  command: CreateOperator,
): Promise<Outcome<CreatedOperator>> {
  const { code, name, country, currency, timeZone, email } = command;
  const tenantId = command.id ?? deps.newId();
  const now = deps.clock.now();
  try {
    return await withTenant<Outcome<CreatedOperator>>(deps.database, { kind: 'system', id: 'operator-create', tenantId }, async (tx) => {
      await insertOperator(tx, {
        code,
        name,
        country,
        currency,
        locale: command.locale ?? `en-${country}`,
        time_zone: timeZone,
        paper: letterCountries.has(country) ? 'Letter' : 'A4',
        address_lines: [],
        csv_decimal: pointCountries.has(country) ? 'point' : 'comma',
        second_factor_required: false,
        // Every server has the page; whoever is reached under another name changes it.
        verification_address: `${deps.publicUrl}/verifier.html`,
        statement_mails: 'when-asked',
        payment_days: null,
        statements_stamped: false,
        now,
      });
      const row = await selectOperator(tx);
      if (row === null) throw new Error('the operator was not stored');
      const invitation = await writeInvitation(deps, tx, { id: deps.newId(), email, role: 'owner', personId: null, siteIds: [], now });
      return done({ operator: toOperator(row), invitation });
    });
  } catch (error) {
    const constraint = constraintViolationOf(error)?.constraint;
    if (constraint === 'operator_code_unique') return refused('already-exists', { detail: `There is an operator with the code ${code}.` });
    if (constraint === 'operator_pkey') return refused('already-exists', { detail: `There is an operator with the id ${tenantId}.` });
    throw error;
  }
}
