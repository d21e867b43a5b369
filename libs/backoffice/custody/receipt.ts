import { randomBytes } from 'node:crypto';
import type { CustodyEvent } from '#contracts/custody';
import type { Signature } from '#contracts/custody-acknowledgement';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { isAcknowledged } from '#domain/keys/event-sides';
import { renderReceipt, type ReceiptDocument, type ReceiptSide } from '#statement/receipt';
import { notSignedInWords, signPdf } from '#statement/sign/sign-pdf';
import type { Caller } from '../caller';
import { operatorSigner } from '../certificate/signer';
import type { Backoffice } from '../dependencies';
import { inclusionOf } from '../evidence/read';
import { readLeaf } from '../evidence/read.sql';
import { selectOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { selectLeafIndex, selectSignatures } from './confirm.sql';
import { eventOf } from './read';

export type ReceiptFile = { readonly bytes: Uint8Array; readonly fileName: string };

/**
 * A receipt for a movement of keys as a signed PDF: as the event stands now, under the head of now, so that whoever gets
 * it holds a head of the log. Nothing is stored; the signature differs each time.
 */
export async function readCustodyReceipt(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<ReceiptFile>> {
  const document = await perform<ReceiptDocument>(deps, caller, 'custody-event.read', async ({ tx, now }) => {
    const event = await eventOf(tx, query.id);
    return event === null ? refused('not-found') : documentOf(tx, event, now);
  });
  if (!document.ok) return document;
  const signing = { ...deps, randomBytes, onBug: ({ error }: { error: unknown }) => { throw error; } };
  const found = await operatorSigner(signing, { tenantId: caller.tenantId, kind: 'system', id: 'custody-receipt' });
  if (!found.ok) return refused(found.why === 'expired' || found.why === 'revoked' ? 'no-certificate' : 'key-out-of-reach', { detail: found.said });
  const signed = await signPdf({ unsignedPdf: await renderReceipt(document.value), signer: found.signer });
  if (!signed.ok) {
    if (signed.problem === 'signature-too-large') throw new Error(notSignedInWords(signed));
    return refused('key-out-of-reach', { detail: notSignedInWords(signed) });
  }
  return done({ bytes: signed.signedPdf, fileName: `key-receipt-${query.id}.pdf` });
}

async function documentOf(tx: TenantTransaction, event: CustodyEvent, now: Date): Promise<Outcome<ReceiptDocument>> {
  const { says, from, to } = event;
  if (says === null || !isAcknowledged(says) || from === null || to === null) return refused('wrong-state', { detail: 'A receipt is for a key that somebody gave to somebody.' });
  const [operator, index] = [await selectOperator(tx), await selectLeafIndex(tx, event.id)];
  const [leaf, inclusion] = index === null ? [undefined, undefined] : [await readLeaf(tx, index), await inclusionOf(tx, { index })];
  if (operator === null || leaf === undefined || inclusion === undefined) throw new Error(`event ${event.id} has no place in the evidence log`);
  const time = (instant: string): string => clockText({ instant: new Date(instant), timeZone: operator.time_zone });
  const sides = await sidesOf(tx, event, time);
  return done({
    paper: operator.paper,
    // People of the operator and of sites sign alike: in the language of the house that hands the keys out.
    locale: operator.locale,
    operator: { code: operator.code, name: operator.name, lines: operator.address_lines },
    eventId: event.id,
    says: says as ReceiptDocument['says'],
    happenedAt: time(event.happenedAt),
    recordedAt: time(event.recordedAt),
    dueBackAt: event.dueBackAt && time(event.dueBackAt),
    reason: event.reason,
    copies: event.copies.map(({ number, code, class: keyClass }) => ({ number, code, keyClass })),
    sides,
    correctedNumbers: event.copies.filter(({ correctedById }) => correctedById !== null).map(({ number }) => number),
    madeAt: now,
    evidence: {
      head: inclusion.head,
      leaf: { index: inclusion.index, salt: leaf.salt.toString('hex'), entry: leaf.entry.toString('utf8'), hash: inclusion.leafHash },
      proof: inclusion.proof,
    },
  });
}

async function sidesOf(tx: TenantTransaction, event: CustodyEvent, time: (instant: string) => string): Promise<ReceiptSide[]> {
  const signatures = await selectSignatures(tx, event.id);
  return (['giver', 'receiver'] as const).map((role) => {
    const said = event.acknowledgements.find(({ side }) => side === role);
    const signed = signatures.find(({ side }) => side === role);
    const holder = role === 'giver' ? event.from : event.to;
    const drawn = signed === undefined ? null : (JSON.parse(signed.signature) as Signature);
    return {
      role,
      name: holder === null ? '' : `${holder.name} (${holder.code})`,
      confirmed: said === undefined ? null : { by: said.person.name, at: time(said.acknowledgedAt), how: said.how },
      signature: signed === undefined || drawn === null ? null : { name: signed.signed_name, strokes: drawn.kind === 'drawn' ? drawn.strokes : [] },
    };
  });
}

/** `2026-03-10 14:05 (America/Chicago)`: the wall clock of the operator, whatever the language of the reader. */
function clockText(of: { instant: Date; timeZone: string }): string {
  const parts = new Intl.DateTimeFormat('en', { timeZone: of.timeZone, year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).formatToParts(of.instant);
  const part = (type: Intl.DateTimeFormatPartTypes): string => parts.find((each) => each.type === type)?.value ?? '';
  return `${part('year')}-${part('month')}-${part('day')} ${part('hour')}:${part('minute')} (${of.timeZone})`;
}
