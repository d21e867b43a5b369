import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { refusedWhileCounted } from '../settlement/sealed';
import { insertOpening, readStatementRow } from './read.sql';

export type StatementFile = { readonly bytes: Buffer; readonly fileName: string };

/** Rendering takes some seconds for a month's statements; asking again sooner is of no use. */
const RETRY_AFTER_SECONDS = 2;

/**
 * The signed file of an issued settlement. Before it is numbered there is none; between the two phases of issue it is
 * being made. A site manager meets issued ones of their own sites only; from the first time on it is no longer new to them.
 */
export function readStatement(deps: Backoffice, caller: Caller, settlementId: string): Promise<Outcome<StatementFile>> {
  return perform<StatementFile>(deps, caller, 'statement.read', async (unit) => {
    const { tx, now, refusal } = unit;
    const row = await readStatementRow(tx, settlementId);
    if (row === undefined) return refused('not-found');
    const denied = refusal({ siteId: row.site_id, state: row.state }) ?? (await refusedWhileCounted(unit, caller, row.site_id));
    if (denied !== null) return denied;
    if (row.pdf !== null && caller.kind === 'user' && caller.role === 'site-manager') await insertOpening(tx, { settlementId, accountId: caller.id, now });
    if (row.pdf !== null) return done({ bytes: row.pdf, fileName: `statement-${row.number ?? settlementId}.pdf` });
    if (row.state === 'numbered') return refused('statement-in-preparation', { retryAfterSeconds: RETRY_AFTER_SECONDS });
    return refused('statement-not-issued', { detail: `The settlement is ${row.state}.` });
  });
}
