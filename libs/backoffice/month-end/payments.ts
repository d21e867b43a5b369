import { moneyOf } from '#contracts/money';
import type { SettlementPayment } from '#contracts/month-end';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { readItemsOfSettlements, type OpenItemRow } from '../open-item/open-item.sql';
import { openMinorOf, stateOf } from '../open-item/to-open-item';
import { groupBy } from '../settlement/inputs/group-by';

/** How far each of these numbered settlements is paid, in one query; one that left nothing to be paid is paid. */
export async function paymentsOfSettlements(tx: TenantTransaction, settlements: readonly { readonly id: string; readonly currency: CurrencyCode }[]): Promise<ReadonlyMap<string, SettlementPayment>> {
  if (settlements.length === 0) return new Map();
  const itemsOf = groupBy(await readItemsOfSettlements(tx, settlements.map(({ id }) => id)), (item) => item.settlement_id);
  return new Map(settlements.map(({ id, currency }) => [id, paymentBody(itemsOf.get(id) ?? [], currency)]));
}

function paymentBody(items: readonly OpenItemRow[], currency: CurrencyCode): SettlementPayment {
  const open = items.map(openMinorOf);
  const sum = (amounts: readonly bigint[]): bigint => amounts.reduce((total, each) => total + each, 0n);
  return {
    state: paymentState(items),
    toPay: moneyOf(sum(open.filter((each) => each > 0n)), currency),
    toReceive: moneyOf(-sum(open.filter((each) => each < 0n)), currency),
  };
}

/** One payee of several may be paid and the other not; a dispute about one is said before all else. */
function paymentState(items: readonly OpenItemRow[]): SettlementPayment['state'] {
  if (items.every((item) => openMinorOf(item) === 0n)) return 'paid';
  if (items.some((item) => stateOf(item) === 'disputed')) return 'disputed';
  return items.every((item) => openMinorOf(item) === item.amount_minor) ? 'open' : 'partly-paid';
}
