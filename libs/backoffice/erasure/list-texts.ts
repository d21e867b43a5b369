import { createHash } from 'node:crypto';
import type { TextsNamingPerson } from '#contracts/erasure';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectOpenInvitations } from '../identity/member.sql';
import { perform } from '../perform';
import { selectPerson } from '../person/person.sql';
import { selectListedTexts, type TextNaming } from './erasure.sql';

/** Lists the texts that name a person, the oldest first, for somebody to say which of them mean this one and no namesake. */
export async function listTextsNaming(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<TextsNamingPerson>> {
  return perform(deps, caller, 'person.erase', async ({ tx, now }) => {
    const person = await selectPerson(tx, query.id);
    if (person === null) return refused('not-found');
    if (person.erased_at !== null) return refused('wrong-state', { detail: 'The person is erased already.' });
    const items = (await selectListedTexts(tx, person.id)).map((text) => ({
      reference: referenceOf(text),
      table: text.table_name,
      column: text.column_name,
      row: text.row_id,
      text: text.said,
      remaining: text.remaining,
      writtenAt: text.written_at && formatInstant(text.written_at),
      about: text.about,
      tookPart: text.took_part,
    }));
    const open = await selectOpenInvitations(tx, { personId: person.id, now });
    return done({ items, openInvitations: open.map(({ email, expires_at }) => ({ email, expiresAt: formatInstant(expires_at) })) });
  });
}

/** Fixes a text and where it is kept: what is confirmed is what was read. */
export function referenceOf(text: TextNaming): string {
  return createHash('sha256').update(JSON.stringify([text.table_name, text.column_name, text.row_id, text.said])).digest('hex');
}
