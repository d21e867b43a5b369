import type { BankDetail, BankDetailListQuery } from '#contracts/bank-detail';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectBankDetails } from './bank-detail.sql';
import { accountOpener } from './sealed-account';
import { toBankDetail } from './to-bank-detail';

/** Accounts with what became of them, the newest first; masked. */
export function listBankDetails(deps: Backoffice, caller: Caller, query: BankDetailListQuery): Promise<Outcome<Page<BankDetail>>> {
  return perform<Page<BankDetail>>(deps, caller, 'bank-detail.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectBankDetails(tx, { partyId: query.partyId ?? null, of: query.of ?? null, state: query.state ?? null, after, limit: query.limit });
    const open = await accountOpener(deps, tx);
    return done(toPage({ rows, limit: query.limit, item: (row) => toBankDetail(row, open), keyOf: (row) => [row.proposed_at.toISOString(), row.id] }));
  });
}
