import { done, type Outcome } from '#contracts/outcome';
import { findableKinds, type FindableKind, type SearchAnswer, type SearchQuery } from '#contracts/search';
import { can } from '#domain/permissions/can';
import type { Action } from '#domain/permissions/table';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { prefixPattern } from '../filter';
import { perform } from '../perform';
import { selectFound } from './find.sql';

/** As many of a kind are shown; whoever needs more says more. */
const SHOWN_PER_KIND = 7;

const readingOf: Readonly<Record<FindableKind, Action>> = {
  site: 'site.read',
  machine: 'machine.read',
  settlement: 'settlement.read',
  party: 'party.read',
  person: 'person.read',
  'key-code': 'key-code.read',
  'key-copy': 'key-copy.read',
};

/** Sites, machines, settlements, people and keys by what is written on them, of the kinds that the caller may read; one query. */
export async function find(deps: Backoffice, caller: Caller, query: SearchQuery): Promise<Outcome<SearchAnswer>> {
  return perform(deps, caller, 'search.read', async ({ tx, now }) => {
    const plain = query.text.normalize('NFD').replaceAll(/\p{M}/gu, '');
    const kinds = findableKinds.filter((kind) => can(caller, readingOf[kind]));
    const rows = await selectFound(tx, {
      kinds,
      text: query.text,
      prefix: prefixPattern(plain),
      words: plain.split(/\s+/u).map((word) => `%${prefixPattern(word)}`),
      today: now.toISOString().slice(0, 10),
      limit: SHOWN_PER_KIND + 1,
    });
    const groups = kinds.map((kind) => {
      const found = rows.filter((row) => row.kind === kind);
      const items = found.slice(0, SHOWN_PER_KIND).map(({ id, code, name, place, starts_on: startsOn }) => ({ id, code, name, place, startsOn }));
      return { kind, items, more: found.length > SHOWN_PER_KIND };
    });
    return done({ groups: groups.filter(({ items }) => items.length > 0) });
  });
}
