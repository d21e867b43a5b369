import type { ChartOfAccounts, JournalAccount, JournalAccountQuery } from '#contracts/journal';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { accountMeanings } from '#domain/journal/account-meanings';
import { chartOfAccounts, type AccountCode } from '#domain/journal/accounts';
import { accountName } from '#domain/journal/plain-text';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { accountRefOf } from './post';
import { readAccountPage, type AccountRow } from './read.sql';

const codes = Object.keys(chartOfAccounts) as AccountCode[];

/** Every account that entries may use, with what it is for. The same for every operator. */
export function readChart(deps: Backoffice, caller: Caller): Promise<Outcome<ChartOfAccounts>> {
  return perform<ChartOfAccounts>(deps, caller, 'journal.read', async () =>
    done({
      accounts: codes.map((code) => ({
        code,
        name: accountName({ code, holderId: null }, new Map()),
        kind: chartOfAccounts[code].type,
        per: chartOfAccounts[code].per,
        meaning: accountMeanings[code],
      })),
    }),
  );
}

/** The operator's own accounts, one per holder that has ever been posted to, by code. */
export function listJournalAccounts(deps: Backoffice, caller: Caller, query: JournalAccountQuery): Promise<Outcome<Page<JournalAccount>>> {
  return perform<Page<JournalAccount>>(deps, caller, 'journal.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.string().max(200)]));
    if (after === 'invalid') return refused('invalid-cursor');
    const { chartCode = null, limit } = query;
    const rows = await readAccountPage(tx, { chartCode, after: after?.[0] ?? null, limit: limit + 1 });
    return done(toPage({ rows, limit, item: accountBody, keyOf: (row) => [row.code] }));
  });
}

function accountBody(row: AccountRow): JournalAccount {
  const { code: chartCode, holderId } = accountRefOf(row.code);
  return { code: row.code, name: row.name, kind: row.kind as JournalAccount['kind'], chartCode, holderId, meaning: accountMeanings[chartCode] };
}
