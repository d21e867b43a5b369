import { localDate } from '#domain/calendar/local-date';
import {
  advancePaid,
  advancePaidBack,
  cashCounted,
  collectionAccepted,
  collectionCorrected,
  moneyMoved,
  paidOnAccount,
  paymentMade,
  reversed,
  settlementIssued,
  writtenOff,
  type EntryHead,
} from '#domain/journal/entries';
import { harmless, plainTextJournal } from '#domain/journal/plain-text';
import { settle } from '#domain/settlement/settle';
import { count, inputs, period, site } from '#tests/support/settlement-inputs';

const head: EntryHead = { id: 'e1', date: localDate('2026-01-31'), currency: 'USD', sourceId: 's1' };
const room = { code: 'cash-in-counting-room', holderId: null } as const;
const bank = { code: 'bank', holderId: 'main' } as const;

function amounts(entry: {
  postings: readonly { account: { code: string; holderId: string | null }; amountMinor: bigint }[];
}): Record<string, bigint> {
  return Object.fromEntries(
    entry.postings.map(({ account, amountMinor }) => [account.holderId === null ? account.code : `${account.code} ${account.holderId}`, amountMinor]),
  );
}

const noneElsewhere = { handed: [], refundsByOperatorMinor: 0n };

test('a collection: what was bagged and handed adds up to what was counted', () => {
  const entry = collectionAccepted(head, {
    agreementId: 'a',
    countedMinor: 10_000n,
    handed: [{ party: site, amountMinor: 1500n }],
    refundsByOperatorMinor: 0n,
  });
  expect(entry.kind).toBe('collection-accepted');
  expect(amounts(entry)).toEqual({ 'cash-in-counting-room': 8500n, 'cash-handed site': 1500n, 'takings-to-settle a': -10_000n });
  expect(amounts(collectionCorrected(head, { agreementId: 'a', differenceMinor: -100n }))).toEqual({
    'cash-in-counting-room': -100n,
    'takings-to-settle a': 100n,
  });
});

test('after settling, nothing waits to be settled', () => {
  const collected = collectionAccepted(head, { agreementId: 'agreement', countedMinor: 10_001n, ...noneElsewhere });
  const settled = settlementIssued(head, settle(inputs(period('2026-01-01', '2026-02-01', { counts: [count('A', '2026-01-15', 10_001n)] }))));
  expect((amounts(collected)['takings-to-settle agreement'] ?? 0n) + (amounts(settled)['takings-to-settle agreement'] ?? 0n)).toBe(0n);
  expect(amounts(settled)['payable-to-payee site']).toBe(-5000n);
});

test('a payment in coins: the payable is cleared and the rounding has its account', () => {
  expect(amounts(paymentMade(head, { party: site, amountMinor: 492n, paidMinor: 490n, from: room }))).toEqual({
    'payable-to-payee site': 492n,
    'cash-rounding': -2n,
    'cash-in-counting-room': -490n,
  });
  expect(amounts(paymentMade(head, { party: site, amountMinor: 500n, paidMinor: 500n, from: bank }))).toEqual({
    'payable-to-payee site': 500n,
    'bank main': -500n,
  });
});

test('money on account, advances, money moved and debts given up', () => {
  expect(amounts(paidOnAccount(head, { party: site, amountMinor: 5n, from: room }))).toEqual({
    'cash-handed site': 5n,
    'cash-in-counting-room': -5n,
  });
  expect(amounts(advancePaid(head, { party: site, amountMinor: 5n, from: bank }))).toEqual({ 'advance-to-payee site': 5n, 'bank main': -5n });
  expect(amounts(advancePaidBack(head, { party: site, amountMinor: 5n, to: bank }))).toEqual({ 'bank main': 5n, 'advance-to-payee site': -5n });
  expect(amounts(moneyMoved(head, { from: room, to: bank, amountMinor: 5n }))).toEqual({ 'bank main': 5n, 'cash-in-counting-room': -5n });
  expect(amounts(cashCounted(head, { place: room, differenceMinor: -7n }))).toEqual({ 'cash-in-counting-room': -7n, 'cash-over-and-short': 7n });
  expect(amounts(writtenOff(head, { account: 'payable-to-payee', party: site, amountMinor: 5n }))).toEqual({
    'written-off': 5n,
    'payable-to-payee site': -5n,
  });
});

test('a reversal takes every balance back', () => {
  const paid = paymentMade(head, { party: site, amountMinor: 492n, paidMinor: 490n, from: room });
  const back = reversed({ ...head, id: 'e2' }, paid);
  expect(back.kind).toBe('payment-returned');
  expect(Object.entries(amounts(paid)).every(([account, amount]) => amounts(back)[account] === -amount)).toBe(true);
  expect(reversed(head, settlementIssued(head, settle(inputs(period('2026-01-01', '2026-02-01'))))).kind).toBe('reversal');
});

test("the text declares what it uses and keeps the currency's digits", () => {
  const text = plainTextJournal({
    entries: [collectionAccepted(head, { agreementId: 'a', countedMinor: 10_000n, ...noneElsewhere, handed: [{ party: site, amountMinor: 1n }] })],
    names: new Map([
      ['a', 'Kiosk: "Łódź"; (north)'],
      [site, 'Corner  Bar'],
    ]),
  });
  expect(text).toBe(
    [
      'commodity USD',
      '',
      'account assets:cash handed:Corner Bar',
      'account assets:cash:counting room',
      'account liabilities:takings to settle:Kiosk Łódź north',
      '',
      '2026-01-31 * (s1) Collection accepted',
      '    assets:cash:counting room  99.99 USD',
      '    assets:cash handed:Corner Bar  0.01 USD',
      '    liabilities:takings to settle:Kiosk Łódź north  -100.00 USD',
      '',
    ].join('\n'),
  );
});

test('two holders of one name stay two accounts', () => {
  const both = ['p1', 'p2'].map((party) => paymentMade(head, { party, amountMinor: 5n, paidMinor: 5n, from: bank }));
  const text = plainTextJournal({
    entries: both,
    names: new Map([
      ['p1', 'Bar; North'],
      ['p2', 'Bar North'],
    ]),
  });
  expect(text).toContain('account liabilities:payable:Bar North\n');
  expect(text).toContain('account liabilities:payable:Bar North 2\n');
});

test.each([
  ['; comment', 'comment'],
  ['a:b', 'a b'],
  ['two  spaces', 'two spaces'],
  ['line\nbreak', 'line break'],
  ['(virtual)', 'virtual'],
  ['...', 'unnamed'],
  ['', 'unnamed'],
  ['Bar "Zum Löwen" & Co.', 'Bar Zum Löwen Co'],
])('%j becomes %j', (text, expected) => {
  expect(harmless(text)).toBe(expected);
});
