import { giveAdvance } from '#backoffice/advance/give';
import { payBackAdvance } from '#backoffice/advance/take-down';
import type { Caller } from '#backoffice/caller';
import type { Backoffice } from '#backoffice/dependencies';
import { holdOpenItem } from '#backoffice/open-item/hold';
import { listOpenItems } from '#backoffice/open-item/read';
import { returnPayment } from '#backoffice/payment/change';
import { recordPayment } from '#backoffice/payment/record';
import { moneyOf, toAmount } from '#contracts/money';
import type { OpenItem } from '#contracts/open-item';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { expectDone, inParallel } from './expect-done';
import type { DemoIds } from './set-up';
import type { DemoEvent } from './visits';
import type { DemoOperator } from './world';

type Paying = { readonly deps: Backoffice; readonly bookkeeper: Caller; readonly operator: DemoOperator; readonly ids: DemoIds };

const AT_ONCE = 4;
/** In days before today. Statements after it are still to be paid. */
const PAID_DAYS_AGO = 40;

/** By position in the operator's list of sites. */
const partlyPaid = [3, 6] as const;
const returned = 8;
const disputed = 10;
const withAdvance = 12;

/**
 * What was paid: each site in one transfer some weeks ago (more of them would make the first start slow); two of them only
 * in part, one transfer that came back, one statement that a site disputes, and one advance of which half is paid back.
 */
export function paymentEvents(paying: Paying, today: LocalDate): readonly DemoEvent[] {
  let advanceId = '';
  const on = (daysAgo: number, enter: (day: LocalDate) => Promise<void>): DemoEvent => {
    const day = addDays(today, -daysAgo);
    return { on: day, enter: () => enter(day) };
  };
  return [
    on(75, async (day) => {
      advanceId = await giveOne(paying, day);
    }),
    on(PAID_DAYS_AGO, (day) => payWithTrouble(paying, day)),
    on(PAID_DAYS_AGO - 5, (day) => payBackHalf(paying, { day, advanceId })),
  ];
}

async function payWithTrouble(paying: Paying, day: LocalDate): Promise<void> {
  const { deps, bookkeeper, operator, ids } = paying;
  const due = await openByAgreement(paying);
  const agreementAt = (position: number): string => ids.agreements.get(operator.sites[position]?.code ?? '') ?? '';
  const inPart = new Set(partlyPaid.map(agreementAt));
  const [held] = due.get(agreementAt(disputed)) ?? [];
  if (held !== undefined) expectDone(await holdOpenItem(deps, bookkeeper, { id: held.id, note: operator.words.why.disputed }), 'hold a statement');
  due.delete(agreementAt(disputed));
  await inParallel([...due], AT_ONCE, async ([agreementId, items]) => {
    const payment = await payItems(paying, items, { day, part: inPart.has(agreementId) ? 2n : 1n });
    if (payment === null || agreementId !== agreementAt(returned)) return;
    expectDone(await returnPayment(deps, bookkeeper, { id: payment, returnedOn: day, reason: operator.words.why.accountClosed }), 'return a payment');
  });
}

/** One transfer for all that is open, or for the part of it that `part` divides; nothing where the site owes. */
async function payItems({ deps, bookkeeper, operator }: Paying, items: readonly OpenItem[], { day, part }: { readonly day: LocalDate; readonly part: bigint }): Promise<string | null> {
  const owed = items.filter(({ open }) => toAmount(open).minor > 0n);
  const [first] = owed;
  const minor = owed.reduce((sum, { open }) => sum + toAmount(open).minor, 0n) / part;
  if (first === undefined || minor === 0n) return null;
  const command = {
    amount: moneyOf(minor, first.open.currency),
    method: 'bank' as const,
    reference: `${operator.words.paymentFor} ${owed.at(-1)?.number ?? ''}`,
    paidOn: day,
    settlements: owed.map(({ settlementId }) => ({ settlementId })),
  };
  return expectDone(await recordPayment(deps, bookkeeper, command), `pay ${first.siteCode}`).id;
}

async function openByAgreement({ deps, bookkeeper }: Paying): Promise<Map<string, OpenItem[]>> {
  const byAgreement = new Map<string, OpenItem[]>();
  let cursor: string | undefined;
  do {
    const page = expectDone(await listOpenItems(deps, bookkeeper, { unpaid: 'yes', limit: 200, cursor }), 'list what is open');
    for (const item of page.items) byAgreement.set(item.agreementId, [...(byAgreement.get(item.agreementId) ?? []), item]);
    cursor = page.next ?? undefined;
  } while (cursor !== undefined);
  return byAgreement;
}

const advanceMinor = 40_000n;

async function giveOne({ deps, bookkeeper, operator, ids }: Paying, day: LocalDate): Promise<string> {
  const command = {
    agreementId: ids.agreements.get(operator.sites[withAdvance]?.code ?? '') ?? '',
    amount: moneyOf(advanceMinor, operator.currency),
    method: 'bank' as const,
    reason: operator.words.why.advance,
    givenOn: day,
  };
  return expectDone(await giveAdvance(deps, bookkeeper, command), 'give an advance').id;
}

async function payBackHalf({ deps, bookkeeper, operator }: Paying, { day, advanceId }: { readonly day: LocalDate; readonly advanceId: string }): Promise<void> {
  const command = { id: advanceId, amount: moneyOf(advanceMinor / 2n, operator.currency), method: 'bank' as const, paidOn: day };
  expectDone(await payBackAdvance(deps, bookkeeper, command), 'pay an advance back');
}
