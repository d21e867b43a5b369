import { refused, type Outcome } from '#contracts/outcome';
import type { NoteOnSettlement, Settlement, SettlementEvent } from '#contracts/settlement';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { changeSettlement } from './change';
import { selectOpenNotes } from './notes.sql';
import { insertEvents } from './save.sql';

type Command = NoteOnSettlement & { readonly id: string };

/** Keeps a draft from being reviewed, alone or with all others, until it is released. */
export function holdSettlement(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<Settlement>> {
  return note(deps, caller, command, { action: 'settlement.hold', state: 'draft', kind: 'held', pair: 'hold', open: false, otherwise: 'It is held already.' });
}

export function releaseSettlement(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<Settlement>> {
  return note(deps, caller, command, { action: 'settlement.release', state: 'draft', kind: 'released', pair: 'hold', open: true, otherwise: 'It is not held.' });
}

/** Somebody of the site asks about what was settled, or the office notes that they did; it waits for the office until it is answered. */
export function questionSettlement(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<Settlement>> {
  const otherwise = 'A question about it waits for an answer already.';
  return note(deps, caller, command, { action: 'settlement.question', state: 'issued', kind: 'questioned', pair: 'question', open: false, otherwise });
}

/** The answer is for the site to read. It changes no figure: what is wrong is corrected, and settled by difference. */
export function answerSettlement(deps: Backoffice, caller: Caller, command: Command): Promise<Outcome<Settlement>> {
  const otherwise = 'No question about it waits for an answer.';
  return note(deps, caller, command, { action: 'settlement.answer', state: 'issued', kind: 'answered', pair: 'question', open: true, otherwise });
}

interface Kind {
  readonly action: Action;
  readonly state: string;
  readonly kind: SettlementEvent;
  readonly pair: 'hold' | 'question';
  /** Whether the first word of the pair has to be there. */
  readonly open: boolean;
  readonly otherwise: string;
}

function note(deps: Backoffice, caller: Caller, command: Command, { action, state, kind, pair, open, otherwise }: Kind): Promise<Outcome<Settlement>> {
  return changeSettlement(deps, caller, { id: command.id, action, states: [state] }, async ({ tx, now }, row) => {
    const waiting = await selectOpenNotes(tx, pair, [row.id]);
    if (waiting.length > 0 !== open) return refused('wrong-state', { detail: otherwise });
    await insertEvents(tx, { ids: [deps.newId()], settlementIds: [row.id], kind, note: command.note, at: now, by: tx.actor });
    return null;
  });
}
