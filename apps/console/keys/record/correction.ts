import type { CustodyEvent } from '../../api/shapes';
import { toInstant, toLocal } from '../moment';
import { canBeLent } from './movements';

/**
 * Until when the key is lent by what is recorded instead: part of what is sent. A correction takes the place of the whole
 * event, so what it does not say is over. The field knows minutes alone, so a time that nobody touched is sent as it was
 * recorded; an emptied field ends the loan.
 */
export function lentUntil(correction: { readonly says: CustodyEvent['says']; readonly shown: string; readonly recorded: string | null }): { readonly dueBackAt?: string } {
  const { says, shown, recorded } = correction;
  if (!canBeLent(says) || shown === '') return {};
  const dueBackAt = recorded !== null && shown === toLocal(recorded) ? recorded : toInstant(shown);
  return dueBackAt === undefined ? {} : { dueBackAt };
}
