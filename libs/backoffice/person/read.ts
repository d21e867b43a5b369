import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Person, PersonListQuery } from '#contracts/person';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectPeople, selectPerson } from './person.sql';
import { toPerson } from './to-person';

/** One person. */
export async function readPerson(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Person>> {
  return perform(deps, caller, 'person.read', async ({ tx }) => {
    const row = await selectPerson(tx, query.id);
    return row === null ? refused('not-found') : done(toPerson(row));
  });
}

const cursorSchema = z.tuple([z.string()]);

/** People by code. */
export async function listPeople(deps: Backoffice, caller: Caller, query: PersonListQuery): Promise<Outcome<Page<Person>>> {
  return perform(deps, caller, 'person.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectPeople(tx, {
      after: after?.[0] ?? null,
      limit: query.limit,
      pattern: containsPattern(query.search),
      employedBy: query.employedBy ?? null,
      siteId: query.siteId ?? null,
      workingOn: query.workingOn ?? null,
    });
    return done(toPage({ rows, limit: query.limit, item: toPerson, keyOf: (row) => [row.code] }));
  });
}
