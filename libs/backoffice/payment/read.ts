import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Payment, PaymentListQuery } from '#contracts/payment';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { onlyRow } from '../rows';
import { listPaymentRows, readPayment } from './payment.sql';
import { paymentBodies } from './to-payment';

export function readOnePayment(deps: Backoffice, caller: Caller, id: string): Promise<Outcome<Payment>> {
  return perform<Payment>(deps, caller, 'payment.read', async ({ tx, refusal, visibleSites }) => {
    const row = await readPayment(tx, id);
    if (row === undefined) return refused('not-found');
    const ownSites = visibleSites() !== 'every';
    return refusal({ siteId: row.site_id }) ?? done(onlyRow(await paymentBodies(tx, [row], { ownSites })));
  });
}

/** Payments, the newest first; a site manager meets their own sites' payments. */
export function listPayments(deps: Backoffice, caller: Caller, query: PaymentListQuery): Promise<Outcome<Page<Payment>>> {
  return perform<Page<Payment>>(deps, caller, 'payment.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const sites = visibleSites();
    const rows = await listPaymentRows(tx, {
      sites: sitesFilter(sites),
      agreementId: query.agreementId ?? null,
      siteId: query.siteId ?? null,
      partyId: query.partyId ?? null,
      from: query.from ?? null,
      to: query.to ?? null,
      after: after === null ? null : { paidOn: after[0], id: after[1] },
      limit: query.limit + 1,
    });
    const page = toPage({ rows, limit: query.limit, item: (row) => row, keyOf: (row) => [row.paid_on, row.id] });
    return done({ items: await paymentBodies(tx, page.items, { ownSites: sites !== 'every' }), next: page.next });
  });
}
