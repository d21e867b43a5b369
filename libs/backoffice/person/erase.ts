import type { ErasedPerson } from '#contracts/custody-acknowledgement';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import { eraseSignatures } from '../custody/confirm.sql';
import type { Backoffice } from '../dependencies';
import { selectOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { eraseTexts, lockPerson, selectHeldNumbers, updatePerson } from './person.sql';

/**
 * Erases what tells who somebody was: name, address, signatures on receipts, and the name in reasons and notes that others
 * wrote. What they did stays by id and code, and so does every proof of the evidence log, which never held more (Regulation (EU) 2016/679, article 17: erasure where the data
 * is no longer needed). Only of people who have left and hold no key any more.
 */
export async function erasePerson(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<ErasedPerson>> {
  return perform(deps, caller, 'person.erase', async ({ tx, now }) => {
    const person = await lockPerson(tx, command.id);
    if (person === null) return refused('not-found');
    const operator = await selectOperator(tx);
    const today = operator === null ? null : localDay({ instant: now, timeZone: operator.time_zone });
    if (person.left_on === null || today === null || person.left_on >= today) return refused('wrong-state', { detail: 'The person still works here: say first when they left.' });
    const held = await selectHeldNumbers(tx, person.id);
    if (held.length > 0) return refused('wrong-state', { detail: `The person still has ${held.join(', ')}.` });
    // The name is a word of ours by then: looking for it would hit what others wrote.
    if (person.erased_at !== null) return refused('wrong-state', { detail: 'The person is erased already.' });
    const textsErased = await eraseTexts(tx, { personId: person.id, now });
    await updatePerson(tx, { ...person, name: 'Erased', email: null, erased_at: now });
    return done({ id: person.id, textsErased, signaturesErased: await eraseSignatures(tx, { personId: person.id, now }) });
  });
}
