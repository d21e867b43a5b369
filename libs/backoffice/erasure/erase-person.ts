import { randomBytes } from 'node:crypto';
import type { ErasedPerson, ErasePerson } from '#contracts/erasure';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { lockLog } from '../evidence/append';
import { selectOpenInvitations, withdrawOpenLink } from '../identity/member.sql';
import { selectOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { hasAccount, lockPerson, selectHeldNumbers, updatePerson, type PersonRow } from '../person/person.sql';
import { held, refusedWhileHeld } from '../retention/held';
import { isHeld } from '../retention/retention.sql';
import { eraseTexts, selectTextsNaming } from './erasure.sql';
import { erasureEntry } from './leaf';
import { referenceOf } from './list-texts';

/**
 * Erases what tells who somebody was, once their account of this operator is ended: name, address, the addresses to which they
 * were invited, signatures on receipts, and the name in reasons and notes that others wrote. What they did stays by id and code, and so does every proof of the evidence log, which never held more (Regulation
 * (EU) 2016/679, article 17: erasure where the data is no longer needed). Only of people who have left and hold no key any
 * more. A namesake's texts, and evidence that is none of this person's, stay: beyond what the person took part in, only
 * confirmed texts change, and each changed text is an entry of the log. Open invitations to be a member as this person are withdrawn.
 */
export async function erasePerson(deps: Backoffice, caller: Caller, command: ErasePerson & { readonly id: string }): Promise<Outcome<ErasedPerson>> {
  return perform(deps, caller, 'person.erase', async ({ tx, now }) => {
    const person = await lockPerson(tx, command.id);
    if (person === null) return refused('not-found');
    if (await isHeld(tx)) return refused(held.code, held);
    const detail = await whyNot(tx, { person, now });
    if (detail !== null) return refused('wrong-state', { detail });
    const confirmed = await confirmedTexts(tx, { personId: person.id, references: command.confirmed });
    if (!confirmed.ok) return confirmed;
    const invitationsWithdrawn = await withdrawInvitations(tx, { personId: person.id, now });
    // One of them may have been accepted meanwhile: then there is an account after all.
    if (await hasAccount(tx, person.id)) return refused('wrong-state', { detail: HAS_ACCOUNT });
    const erased = await eraseTexts(tx, { personId: person.id, confirmed: confirmed.value, now });
    await updatePerson(tx, { ...person, name: 'Erased', email: null, erased_at: now });
    const log = await lockLog(tx, { now: () => now, randomBytes });
    await log.append(erased.map((row) => ({ subjectId: row.id, entry: erasureEntry(row) })));
    const signaturesErased = erased.filter((row) => row.table_name === 'custody_signature').length;
    return done({ id: person.id, textsErased: erased.length - signaturesErased, signaturesErased, invitationsWithdrawn });
  }, { constraints: refusedWhileHeld });
}

const HAS_ACCOUNT = 'The person can still sign in with an account: end their account first, among the people with access.';

/** Whoever has the link of an open invitation would else get an account as somebody of whom nothing is known any more. */
async function withdrawInvitations(tx: TenantTransaction, query: { personId: string; now: Date }): Promise<number> {
  const open = await selectOpenInvitations(tx, query);
  for (const { id } of open) await withdrawOpenLink(tx, { linkId: id, now: query.now });
  return open.length;
}

async function whyNot(tx: TenantTransaction, { person, now }: { person: PersonRow; now: Date }): Promise<string | null> {
  const operator = await selectOperator(tx);
  const today = operator === null ? null : localDay({ instant: now, timeZone: operator.time_zone });
  if (person.left_on === null || today === null || person.left_on >= today) return 'The person still works here: say first when they left.';
  const held = await selectHeldNumbers(tx, person.id);
  if (held.length > 0) return `The person still has ${held.join(', ')}.`;
  if (person.erased_at === null && (await hasAccount(tx, person.id))) return HAS_ACCOUNT;
  // The name is a word of ours by then: looking for it would hit what others wrote.
  return person.erased_at === null ? null : 'The person is erased already.';
}

/** The confirmed texts as `table/column/row`; each must still read as it was listed. */
async function confirmedTexts(tx: TenantTransaction, { personId, references }: { personId: string; references: readonly string[] }): Promise<Outcome<string[]>> {
  if (references.length === 0) return done([]);
  const naming = new Map((await selectTextsNaming(tx, personId)).map((text) => [referenceOf(text), `${text.table_name}/${text.column_name}/${text.row_id}`]));
  const wrong = references.flatMap((reference, index): WrongField[] =>
    naming.has(reference) ? [] : [{ path: ['confirmed', index], code: 'unknown', message: 'No text that names the person reads so now: list them again.' }],
  );
  return wrong.length > 0 ? refusedFields('invalid-command', wrong) : done(references.flatMap((reference) => naming.get(reference) ?? []));
}
