import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { ChangeTaxArea, CreateTaxArea, TaxArea, TaxAreaListQuery } from '#contracts/tax';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { unprintable } from '../printable';
import { insertTaxArea, lockTaxArea, selectTaxArea, selectTaxAreas, updateTaxArea } from './tax.sql';
import { taxAreaConstraints, toTaxArea } from './to-tax';

/** Records a tax area: a state, county or city with rules of its own. */
export async function createTaxArea(deps: Backoffice, caller: Caller, command: CreateTaxArea): Promise<Outcome<TaxArea>> {
  return perform(
    deps,
    caller,
    'tax-area.create',
    async ({ tx, now }) => {
      const wrong = unprintable({ name: command.name });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const { code, name, country } = command;
      return done(toTaxArea(await insertTaxArea(tx, { id: command.id ?? deps.newId(), code, name, country, now })));
    },
    { constraints: taxAreaConstraints },
  );
}

/** Changes what a tax area is called. Its rules are dated rows of their own. */
export async function changeTaxArea(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeTaxArea },
): Promise<Outcome<TaxArea>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'tax-area.change',
    async ({ tx }) => {
      const before = await lockTaxArea(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      const wrong = unprintable({ name: change.name });
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const after = await updateTaxArea(tx, {
        ...before,
        code: change.code ?? before.code,
        name: change.name ?? before.name,
        country: change.country ?? before.country,
      });
      return done(toTaxArea(after));
    },
    { constraints: taxAreaConstraints },
  );
}

/** One tax area. */
export async function readTaxArea(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<TaxArea>> {
  return perform(deps, caller, 'tax-area.read', async ({ tx }) => {
    const row = await selectTaxArea(tx, query.id);
    return row === null ? refused('not-found') : done(toTaxArea(row));
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Tax areas by code. */
export async function listTaxAreas(deps: Backoffice, caller: Caller, query: TaxAreaListQuery): Promise<Outcome<Page<TaxArea>>> {
  return perform(deps, caller, 'tax-area.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectTaxAreas(tx, { after: after?.[0] ?? null, limit: query.limit, pattern: containsPattern(query.search) });
    return done(toPage({ rows, limit: query.limit, item: toTaxArea, keyOf: (row) => [row.code] }));
  });
}
