import type { TenantTransaction } from '#database/tenant';
import { selectOperator } from '../operator/operator.sql';
import { selectKnownParties } from './agreement.sql';
import { OPERATOR } from './check-terms';

export interface TermsWriting {
  readonly locale: string;
  /** On a statement the currency stands at the head of the page; who reads the sentences alone is told it with each amount. */
  readonly namesCurrency: boolean;
  readonly partyNames: ReadonlyMap<string, string>;
}

/** The language that was asked for, else that of the operator, and the names of the operator and of these parties, for terms in words. */
export async function writingFor(tx: TenantTransaction, asked: { readonly partyIds: readonly string[]; readonly language?: string | undefined }): Promise<TermsWriting> {
  const operator = await selectOperator(tx);
  if (operator === null) throw new Error('the operator of the transaction is gone');
  const names = await selectKnownParties(tx, asked.partyIds);
  return { locale: asked.language ?? operator.locale, namesCurrency: asked.language !== undefined, partyNames: new Map([...names, [OPERATOR, operator.name]]) };
}
