import * as sdk from '../generated';
import type { BackPaymentData, PayBackAdvanceData, RecordPaymentData, RecordTaxPaymentData } from '../generated';
import { once, type Base } from './client';
import { everyPage } from './every-page';

/** The longest page that a list gives. */
const most = 200;

/** Shown before somebody asks for more. */
const firstShown = 50;

interface WithReason {
  readonly id: string;
  readonly reason: string;
}

/** The day under which the books have it, where that is another one. */
interface Dated extends WithReason {
  readonly accountingDate?: string;
}

type Returned = BackPaymentData['body'];

const after = (cursor: string | null) => (cursor === null ? {} : { cursor });

/** What is owed and paid. Each `key` belongs to one thing that is to be booked, however often it is sent. */
export function paymentsApi(base: Base) {
  return {
    /** Unpaid items, and those of which the rest was given up. */
    openItemsAt: async (siteId: string, signal: AbortSignal) => {
      const all = (unpaid: 'yes' | 'no') =>
        everyPage(async (cursor) => (await sdk.listOpenItem({ ...base, signal, query: { siteId, unpaid, limit: most, ...after(cursor) } })).data);
      const lists = await Promise.all([all('yes'), all('no')]);
      return lists.flat().filter(({ state }) => state !== 'paid' && state !== 'paid-again' && state !== 'reversed');
    },
    openItemsWith: (partyId: string, signal: AbortSignal) => everyPage(async (cursor) => (await sdk.listOpenItem({ ...base, signal, query: { partyId, unpaid: 'yes', limit: most, ...after(cursor) } })).data),
    /** The latest first. */
    paymentsOf: async (account: { agreementId: string; partyId: string }, cursor: string | null, signal: AbortSignal) =>
      (await sdk.listPayment({ ...base, signal, query: { ...account, limit: firstShown, ...after(cursor) } })).data,
    recordPayment: async (body: RecordPaymentData['body'], key: string) => (await sdk.recordPayment({ ...base, ...once(key), body })).data,
    matchPayment: async ({ id }: { id: string }, key: string) => (await sdk.matchPayment({ ...base, ...once(key), path: { id }, body: {} })).data,
    unmatchPayment: async ({ id, reason }: WithReason, key: string) => (await sdk.unmatchPayment({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    putOnAccount: async ({ id, reason }: WithReason, key: string) => (await sdk.putOnAccount({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    returnPayment: async ({ id, ...body }: Returned & { id: string }, key: string) => (await sdk.backPayment({ ...base, ...once(key), path: { id }, body })).data,
    holdItem: async ({ id, reason }: WithReason, key: string) => (await sdk.holdOpenItem({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    releaseItem: async ({ id, reason }: WithReason, key: string) => (await sdk.releaseOpenItem({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    writeOffItem: async ({ id, ...body }: Dated, key: string) => (await sdk.writeOff({ ...base, ...once(key), path: { id }, body })).data,
    undoWriteOff: async ({ id, ...body }: Dated, key: string) => (await sdk.undoWriteOff({ ...base, ...once(key), path: { id }, body })).data,
    payBackAdvance: async ({ id, ...body }: { id: string } & PayBackAdvanceData['body'], key: string) => (await sdk.payBackAdvance({ ...base, ...once(key), path: { id }, body })).data,
    writeOffAdvance: async ({ id, ...body }: Dated, key: string) => (await sdk.writeOffAdvance({ ...base, ...once(key), path: { id }, body })).data,
    undoAdvance: async ({ id, ...body }: Dated & { reductionId: string }, key: string) => (await sdk.undoAdvance({ ...base, ...once(key), path: { id }, body })).data,
    taxPayments: async ({ areaId, month }: { areaId: string; month: string }, signal: AbortSignal) =>
      everyPage(async (cursor) => (await sdk.listTaxPayment({ ...base, signal, path: { id: areaId }, query: { month, limit: most, ...after(cursor) } })).data),
    recordTaxPayment: async ({ areaId, ...body }: { areaId: string } & RecordTaxPaymentData['body'], key: string) =>
      (await sdk.recordTaxPayment({ ...base, ...once(key), path: { id: areaId }, body })).data,
    returnTaxPayment: async ({ areaId, id, ...body }: Returned & { areaId: string; id: string }, key: string) =>
      (await sdk.backTaxPayment({ ...base, ...once(key), path: { id: areaId, paymentId: id }, body })).data,
  };
}
