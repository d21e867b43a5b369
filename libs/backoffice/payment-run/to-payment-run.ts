import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { PaymentRun, PaymentRunSummary } from '#contracts/payment-run';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../settlement/inputs/group-by';
import { selectRunItems, selectTransfers, type PaymentRunRow } from './payment-run.sql';

export function toSummary(row: PaymentRunRow): PaymentRunSummary {
  return {
    id: row.id,
    state: row.state,
    format: row.kind === 'iban' ? 'pain.001.001.09' : 'ach',
    currency: row.currency,
    from: { bankDetailId: row.from_detail_id, country: row.from_country, ending: row.from_ending },
    executeOn: row.execute_on,
    transferCount: row.transfers,
    sum: moneyOf(row.sum_minor, row.currency),
    entryHash: row.entry_hash,
    fileSha256: row.file_sha256 === null ? null : row.file_sha256.toString('hex'),
    createdAt: formatInstant(row.created_at),
  };
}

/** A run with what it pays and what became of it. */
export async function toPaymentRun(tx: TenantTransaction, row: PaymentRunRow): Promise<PaymentRun> {
  const items = groupBy(await selectRunItems(tx, row.id), (item) => item.transfer_id);
  const transfers = (await selectTransfers(tx, row.id)).map((transfer): PaymentRun['transfers'][number] => {
    const paid = items.get(transfer.id) ?? [];
    return {
      id: transfer.id,
      agreementId: transfer.agreement_id,
      siteId: transfer.site_id,
      siteCode: transfer.site_code,
      siteName: transfer.site_name,
      partyId: transfer.party_id,
      partyName: transfer.party_name,
      settlements: paid.map((item) => ({ settlementId: item.settlement_id, number: item.number, open: moneyOf(item.amount_minor, row.currency) })),
      onAccount: moneyOf(transfer.on_account_minor, row.currency),
      amount: moneyOf(transfer.amount_minor, row.currency),
      account: { bankDetailId: transfer.bank_detail_id, country: transfer.country, ending: transfer.ending },
      paymentId: transfer.payment_id,
      refusedBecause: transfer.refused_because,
      released: paid.every(({ released }) => released),
    };
  });
  return { ...toSummary(row), transfers, history: historyOf(row) };
}

function historyOf(row: PaymentRunRow): PaymentRun['history'] {
  type Event = PaymentRun['history'][number];
  const event = (kind: Event['kind'], at: Date | null, by: string | null, more: Partial<Event> = {}): Event[] =>
    at === null || by === null ? [] : [{ kind, on: null, reason: null, happenedAt: formatInstant(at), happenedBy: by, ...more }];
  return [
    ...event('drafted', row.created_at, row.created_by),
    ...event('file-made', row.file_made_at, row.file_made_by),
    ...event('downloaded', row.downloaded_at, row.downloaded_by),
    ...event('sent', row.sent_at, row.sent_by, { on: row.sent_on }),
    ...event('paid', row.recorded_at, row.recorded_by, { on: row.paid_on }),
    ...event(row.sent_at === null ? 'cancelled' : 'refused-by-bank', row.cancelled_at, row.cancelled_by, { reason: row.cancel_reason }),
  ];
}
