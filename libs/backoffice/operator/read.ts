import type { Operator } from '#contracts/operator';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { selectOperator } from './operator.sql';
import { toOperator } from './to-operator';

/** The caller's operator with its settings. */
export async function readOperator(deps: Backoffice, caller: Caller): Promise<Outcome<Operator>> {
  return perform(deps, caller, 'operator.read', async ({ tx }) => {
    const row = await selectOperator(tx);
    return row === null ? refused('not-found') : done(toOperator(row));
  });
}
