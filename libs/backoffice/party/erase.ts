import { done, refused, type Outcome } from '#contracts/outcome';
import type { Party, PartyErasure } from '#contracts/party';
import type { TenantTransaction } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { lawOfKeeping } from '#domain/retention/law';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { held, refusedWhileHeld } from '../retention/held';
import { readKeeping } from '../retention/keeping';
import { isHeld } from '../retention/retention.sql';
import { eraseParty as erase, selectInTheWay, selectLastDay } from './erase.sql';
import { lockParty, selectParty } from './party.sql';
import { toParty } from './to-party';

/** Whether who a payee was may be erased now, and what is in the way. */
export function readPartyErasure(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<PartyErasure>> {
  return perform<PartyErasure>(deps, caller, 'party.erase', async ({ tx, now }) => {
    const party = await selectParty(tx, query.id);
    return party === null ? refused('not-found') : done(await erasureOf(tx, { id: party.id, now }));
  });
}

/**
 * Erases who a payee was: name, address, e-mail, bank accounts and taxpayer numbers, and what the audit trail shows of them (Regulation
 * (EU) 2016/679, article 17). Not while anything is open with them, a hold stands, or the law asks to keep it (article 17 (3) (b)). What
 * was settled and paid stays, by code, and so do issued statements, which say what they said: their bytes are proof for both sides.
 */
export function eraseParty(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<Party>> {
  return perform<Party>(deps, caller, 'party.erase', async ({ tx, now }) => {
    const party = await lockParty(tx, command.id);
    if (party === null) return refused('not-found');
    if (party.erased_at !== null) return refused('wrong-state', { detail: 'Who they were is erased already.' });
    const { inTheWay, keptUntil, source, isHeld: isKept } = await erasureOf(tx, { id: party.id, now });
    if (isKept) return refused(held.code, held);
    if (inTheWay.length > 0) return refused('wrong-state', { detail: `Not all is over with ${party.code}: ${inTheWay.map(({ kind, which }) => `${kind} ${which}`).join(', ')}.` });
    if (keptUntil !== null) return refused('must-be-kept', { detail: `The books name ${party.code} until ${keptUntil}${source === null ? '' : ` (${source})`}.` });
    await erase(tx, { id: party.id, now });
    const erased = await selectParty(tx, party.id);
    if (erased === null) throw new Error(`party ${party.id} is gone`);
    return done(toParty(erased));
  }, { constraints: refusedWhileHeld });
}

/** Payees are named by the books, which are kept the longest: for full years after the end of the last year in which they have something of them. */
async function erasureOf(tx: TenantTransaction, { id, now }: { readonly id: string; readonly now: Date }): Promise<PartyErasure> {
  const { operator, today } = await readKeeping(tx, now);
  const { years, source, isKnown } = lawOfKeeping(operator.country);
  const last = await selectLastDay(tx, id);
  const until = last === null ? null : localDate(`${String(Number(last.slice(0, 4)) + years.books)}-12-31`);
  return { inTheWay: await selectInTheWay(tx, { id, today }), keptUntil: until !== null && today <= until ? until : null, source: isKnown ? source : null, isHeld: await isHeld(tx) };
}
