import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { PaymentRun, PaymentRunListQuery, PaymentRunSummary } from '#contracts/payment-run';
import { z } from 'zod';
import type { Caller } from '../caller';
import { readDataKeys } from '../certificate/signing.sql';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { whatChanged } from './change-run';
import { FILE_PURPOSE } from './make-file';
import { lockRuns, selectRun, selectRuns, updateDownloaded } from './payment-run.sql';
import { toPaymentRun, toSummary } from './to-payment-run';

/** Runs, the newest first. */
export function listPaymentRuns(deps: Backoffice, caller: Caller, query: PaymentRunListQuery): Promise<Outcome<Page<PaymentRunSummary>>> {
  return perform<Page<PaymentRunSummary>>(deps, caller, 'payment-run.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectRuns(tx, { state: query.state ?? null, after, limit: query.limit });
    return done(toPage({ rows, limit: query.limit, item: toSummary, keyOf: (row) => [row.created_at.toISOString(), row.id] }));
  });
}

export function readPaymentRun(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<PaymentRun>> {
  return perform<PaymentRun>(deps, caller, 'payment-run.read', async ({ tx }) => {
    const row = await selectRun(tx, id);
    return row === null ? refused('not-found') : done(await toPaymentRun(tx, row));
  });
}

/**
 * The file as it was made, for the bank: the same bytes however often it is asked for. Here it leaves the house, so until the
 * bank has it, what it pays is looked at again; whoever takes it first is noted.
 */
export function readPaymentFile(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'payment-run.download', async ({ tx, now }) => {
    await lockRuns(tx);
    const row = await selectRun(tx, id);
    if (row === null) return refused('not-found');
    if (row.sealed_file === null) return row.file_made_at === null ? refused('wrong-state', { detail: 'No file was made of it.' }) : refused('no-longer-kept', { detail: 'The file is gone. What it paid, its digest and its sums stay.' });
    if (row.state === 'cancelled') return refused('wrong-state', { detail: 'The run is cancelled: its file is not for the bank any more.' });
    if (row.state === 'file-made') {
      const changed = await whatChanged(tx, row);
      if (changed !== null) return refused('wrong-state', { detail: `${changed} If the bank has the file already, confirm that. If not, cancel this run and draft another one.` });
      if (row.downloaded_at === null) await updateDownloaded(tx, { id, now });
    }
    const dataKeys = await readDataKeys(tx);
    const bytes = deps.operatorSecrets.open({ tenantId: tx.tenantId, purpose: FILE_PURPOSE, sealed: row.sealed_file, dataKeys });
    return done({ bytes, fileName: `payments-${row.execute_on}-${row.id.slice(-6)}.${row.kind === 'iban' ? 'xml' : 'txt'}` });
  });
}
