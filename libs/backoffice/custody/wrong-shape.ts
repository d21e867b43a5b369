import type { WrongField } from '#contracts/outcome';
import type { CustodyKind } from '#domain/keys/custody';
import { wrongSides, type WrongSide } from '#domain/keys/event-sides';
import type { EventRecord } from './event.sql';
import type { NewCustodyEvent } from './new-event';

const words: { readonly [kind in CustodyKind]: string } = {
  made: 'made',
  duplicated: 'duplicated',
  issued: 'issued',
  returned: 'returned',
  'handed-over': 'handed over',
  'reported-missing': 'reported missing',
  found: 'found',
  destroyed: 'destroyed',
  seen: 'seen',
};

/** Fields of a command that its kind does not have, or lacks, before anything is looked up. */
export function wrongFieldsOfKind(command: NewCustodyEvent): WrongField[] {
  const wrong: WrongField[] = [];
  if (command.kind === 'corrected') {
    if (command.correctsId === undefined) wrong.push({ path: ['correctsId'], code: 'missing', message: 'Name the event that was not so.' });
    if (command.says === undefined) wrong.push({ path: ['says'], code: 'missing', message: 'Say what happened instead, or null if nothing did.' });
  } else {
    for (const field of ['correctsId', 'says'] as const) {
      if (command[field] !== undefined) wrong.push({ path: [field], code: 'not-of-this-kind', message: 'Only a correction names an event and says what happened instead.' });
    }
    if ((command.keyCopyIds === undefined) === (command.keyRingId === undefined)) {
      wrong.push({ path: ['keyCopyIds'], code: command.keyRingId === undefined ? 'missing' : 'ring-or-copies', message: 'Name the copies, or the ring that they hang on.' });
    }
  }
  if (command.kind === 'corrected' && command.keyRingId !== undefined) {
    wrong.push({ path: ['keyRingId'], code: 'not-of-this-kind', message: 'A correction speaks of the copies of the event that it corrects.' });
  }
  return wrong;
}

/** What is wrong with an event in itself: its sides, its times. */
export function wrongShape(event: EventRecord): WrongField[] {
  return [...wrongEventSides(event), ...wrongTimes(event)];
}

function wrongEventSides({ says, from, to }: EventRecord): WrongField[] {
  if (says !== null) return wrongSides({ says, from, to }).map(({ side, code }) => ({ path: [side], code, message: sentence({ side, code }, says) }));
  return (['from', 'to'] as const)
    .filter((side) => ({ from, to })[side] !== null)
    .map((side) => ({ path: [side], code: 'not-of-this-kind', message: 'Where nothing happened nobody gave or received.' }));
}

function sentence({ side, code }: WrongSide, says: CustodyKind): string {
  switch (code) {
    case 'missing':
      return side === 'from' ? 'Say who gave the key.' : 'Say who has the key afterwards.';
    case 'not-of-this-kind':
      return `A key that is ${words[says]} has no ${side === 'from' ? 'giver' : 'receiver'}: leave this out.`;
    case 'not-a-store':
      return `A key is ${words[says]} ${side === 'from' ? 'out of' : 'into'} a store.`;
    case 'not-a-person-or-place':
      return 'Here stands a person or a named place; from store to store is a hand-over.';
    case 'another-kind':
      return 'Out of a store a key is issued, and into a store it is returned.';
  }
}

function wrongTimes(event: EventRecord): WrongField[] {
  const wrong: WrongField[] = [];
  if (event.happenedAt > event.recordedAt) wrong.push({ path: ['happenedAt'], code: 'in-future', message: 'What has not happened yet is not recorded.' });
  if (event.dueBackAt === null) return wrong;
  if (event.says !== 'issued' && event.says !== 'handed-over') wrong.push({ path: ['dueBackAt'], code: 'not-of-this-kind', message: 'Only a key that is issued or handed over is lent until a time.' });
  else if (event.dueBackAt <= event.happenedAt) wrong.push({ path: ['dueBackAt'], code: 'before-it-was-given', message: 'A key is lent until some time after it is given.' });
  return wrong;
}
