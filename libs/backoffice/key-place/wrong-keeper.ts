import { refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { localDay } from '../collection/local-day';
import { selectOperator } from '../operator/operator.sql';
import { sharePerson } from '../person/person.sql';

/**
 * Why somebody is not named as one who may take keys from a place: they have left by the operator's calendar, or are erased.
 * `null` where nothing speaks against it; then they neither leave nor are erased until the transaction ends. An unknown person is
 * left to the reference.
 */
export async function wrongKeeper(tx: TenantTransaction, asked: { personId: string; field: 'personId' | 'responsiblePersonId'; now: Date }): Promise<Outcome<never> | null> {
  const [person, operator] = [await sharePerson(tx, asked.personId), await selectOperator(tx)];
  if (person === null || operator === null) return null;
  const wrong = (code: string, message: string): Outcome<never> => refusedFields('invalid-command', [{ path: [asked.field], code, message }]);
  if (person.erased_at !== null) return wrong('erased', 'Who this person was is erased: nothing is written about them any more.');
  const today = localDay({ instant: asked.now, timeZone: operator.time_zone });
  const hasLeft = person.left_on !== null && today !== null && person.left_on < today;
  return hasLeft ? wrong('not-employed', `${person.name} does not work here any more.`) : null;
}
