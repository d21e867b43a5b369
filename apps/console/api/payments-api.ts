import * as sdk from '../generated';
import type { PayBackAdvanceData, RecordPaymentData, RecordTaxPaymentData } from '../generated';
import { once, type Base } from './client';

/** The longest page that a list gives. */
const most = 200;

interface WithReason {
  readonly id: string;
  readonly reason: string;
}

/** What is owed and paid. Each `key` belongs to one thing that is to be booked, however often it is sent. */
export function paymentsApi(base: Base) {
  return {
    /** Unpaid items, and those of which the rest was given up. */
    openItemsAt: async (siteId: string, signal: AbortSignal) => {
      const lists = await Promise.all((['yes', 'no'] as const).map((unpaid) => sdk.listOpenItem({ ...base, signal, query: { siteId, unpaid, limit: most } })));
      return lists.flatMap(({ data }) => data.items).filter(({ state }) => state !== 'paid' && state !== 'paid-again' && state !== 'reversed');
    },
    paymentsAt: async (siteId: string, signal: AbortSignal) => (await sdk.listPayment({ ...base, signal, query: { siteId, limit: most } })).data.items,
    recordPayment: async (body: RecordPaymentData['body'], key: string) => (await sdk.recordPayment({ ...base, ...once(key), body })).data,
    matchPayment: async ({ id }: { id: string }, key: string) => (await sdk.matchPayment({ ...base, ...once(key), path: { id }, body: {} })).data,
    unmatchPayment: async ({ id, reason }: WithReason, key: string) => (await sdk.unmatchPayment({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    putOnAccount: async ({ id, reason }: WithReason, key: string) => (await sdk.putOnAccount({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    returnPayment: async ({ id, ...body }: WithReason & { returnedOn: string }, key: string) => (await sdk.backPayment({ ...base, ...once(key), path: { id }, body })).data,
    holdItem: async ({ id, reason }: WithReason, key: string) => (await sdk.holdOpenItem({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    releaseItem: async ({ id, reason }: WithReason, key: string) => (await sdk.releaseOpenItem({ ...base, ...once(key), path: { id }, body: { note: reason } })).data,
    writeOffItem: async ({ id, reason }: WithReason, key: string) => (await sdk.writeOff({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    undoWriteOff: async ({ id, reason }: WithReason, key: string) => (await sdk.undoWriteOff({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    payBackAdvance: async ({ id, ...body }: { id: string } & PayBackAdvanceData['body'], key: string) => (await sdk.payBackAdvance({ ...base, ...once(key), path: { id }, body })).data,
    writeOffAdvance: async ({ id, reason }: WithReason, key: string) => (await sdk.writeOffAdvance({ ...base, ...once(key), path: { id }, body: { reason } })).data,
    taxPayments: async ({ areaId, month }: { areaId: string; month: string }, signal: AbortSignal) =>
      (await sdk.listTaxPayment({ ...base, signal, path: { id: areaId }, query: { month, limit: most } })).data.items,
    recordTaxPayment: async ({ areaId, ...body }: { areaId: string } & RecordTaxPaymentData['body'], key: string) =>
      (await sdk.recordTaxPayment({ ...base, ...once(key), path: { id: areaId }, body })).data,
    returnTaxPayment: async ({ areaId, id, ...body }: WithReason & { areaId: string; returnedOn: string }, key: string) =>
      (await sdk.backTaxPayment({ ...base, ...once(key), path: { id: areaId, paymentId: id }, body })).data,
  };
}
