import fc from 'fast-check';
import { localDate } from '#domain/calendar/local-date';
import { matchPayment, type ItemToPay, type MatchProblemCode, type PaymentToMatch } from './match';

const item = (id: string, openMinor: bigint, datedOn = '2026-01-31', held = false): ItemToPay => ({ id, openMinor, datedOn: localDate(datedOn), held });
const pay = (changes: Partial<PaymentToMatch>): PaymentToMatch => ({ paidMinor: 100n, named: null, items: [], smallestCoinMinor: null, ...changes });

function problemOf(payment: PaymentToMatch): [MatchProblemCode, number | null, bigint | null] | 'matched' {
  const matched = matchPayment(payment);
  return matched.ok ? 'matched' : [matched.problem.code, matched.problem.index, matched.problem.dueMinor];
}

const january = item('b', 300n, '2026-01-31');
const february = item('a', 200n, '2026-02-28');

test('the oldest items are paid first, and the last one in part', () => {
  expect(matchPayment(pay({ paidMinor: 350n, items: [february, january] }))).toEqual({
    ok: true,
    settledMinor: 350n,
    matches: [
      { itemId: 'b', amountMinor: 300n },
      { itemId: 'a', amountMinor: 50n },
    ],
  });
});

test('named items are paid in the order in which they are named', () => {
  expect(matchPayment(pay({ paidMinor: 250n, items: [january, february], named: [{ id: 'a', amountMinor: null }, { id: 'b', amountMinor: null }] }))).toMatchObject({
    matches: [
      { itemId: 'a', amountMinor: 200n },
      { itemId: 'b', amountMinor: 50n },
    ],
  });
});

test('more than what is due is refused with what is', () => {
  expect(problemOf(pay({ paidMinor: 501n, items: [january, february] }))).toEqual(['larger-than-due', null, 500n]);
  expect(problemOf(pay({ paidMinor: 301n, items: [january, february], named: [{ id: 'b', amountMinor: null }] }))).toEqual(['larger-than-due', null, 300n]);
  expect(problemOf(pay({ items: [] }))).toEqual(['nothing-due', null, 0n]);
});

test('each named item that cannot be paid is refused by its place', () => {
  const items = [january, item('held', 100n, '2026-01-31', true), item('paid', 0n)];
  const named = (...ids: string[]) => ids.map((id) => ({ id, amountMinor: null }));
  expect(problemOf(pay({ items, named: named('b', 'stranger') }))).toEqual(['item-unknown', 1, null]);
  expect(problemOf(pay({ items, named: named('b', 'b') }))).toEqual(['item-named-twice', 1, null]);
  expect(problemOf(pay({ items, named: named('held') }))).toEqual(['item-held', 0, null]);
  expect(problemOf(pay({ items, named: named('paid') }))).toEqual(['item-settled', 0, 0n]);
  expect(problemOf(pay({ items, named: [{ id: 'b', amountMinor: 301n }] }))).toEqual(['larger-than-open', 0, 300n]);
  expect(problemOf(pay({ paidMinor: 99n, items, named: [{ id: 'b', amountMinor: 100n }] }))).toEqual(['does-not-add-up', null, 100n]);
});

test('a held item is passed over where none is named', () => {
  expect(problemOf(pay({ items: [item('held', 100n, '2026-01-31', true)] }))).toEqual(['nothing-due', null, 0n]);
});

// Canada Budget 2012, rounding of cash: endings 1, 2 go down to 0; 3, 4 up to 5; 6, 7 down to 5; 8, 9 up to 10.
test.each([
  [491n, 490n],
  [492n, 490n],
  [493n, 495n],
  [494n, 495n],
  [496n, 495n],
  [497n, 495n],
  [498n, 500n],
  [499n, 500n],
])('%d cents due are paid with %d in cash', (dueMinor, paidMinor) => {
  const payment = pay({ paidMinor, items: [item('a', dueMinor)], smallestCoinMinor: 5n });
  expect(matchPayment(payment)).toMatchObject({ settledMinor: dueMinor, matches: [{ amountMinor: dueMinor }] });
  expect(problemOf({ ...payment, paidMinor: paidMinor + 5n })).toEqual(['larger-than-due', null, paidMinor]);
  expect(problemOf({ ...payment, paidMinor: paidMinor + 1n })).toMatchObject(['not-payable-in-coins', null, paidMinor]);
});

test('whatever is paid, no item gets more than is open, and the parts add up to what is settled', () => {
  const items = fc.array(fc.record({ openMinor: fc.bigInt(0n, 2000n), held: fc.boolean(), day: fc.integer({ min: 1, max: 28 }) }), { maxLength: 8 });
  fc.assert(
    fc.property(items, fc.bigInt(1n, 6000n), fc.constantFrom(null, 5n, 10n), (rows, paid, coin) => {
      const list = rows.map((row, index) => item(`i${index}`, row.openMinor, `2026-01-${String(row.day).padStart(2, '0')}`, row.held));
      const paidMinor = coin === null ? paid : (paid / coin + 1n) * coin;
      const matched = matchPayment(pay({ paidMinor, items: list, smallestCoinMinor: coin }));
      if (!matched.ok) {
        const due = list.filter(({ held }) => !held).reduce((sum, { openMinor }) => sum + openMinor, 0n);
        return due === 0n || paidMinor > due - (coin ?? 0n);
      }
      const open = new Map(list.map((each) => [each.id, each]));
      const roundedBy = matched.settledMinor - paidMinor;
      return (
        matched.matches.every(({ itemId, amountMinor }) => amountMinor > 0n && amountMinor <= (open.get(itemId)?.openMinor ?? 0n) && open.get(itemId)?.held === false) &&
        matched.matches.reduce((sum, { amountMinor }) => sum + amountMinor, 0n) === matched.settledMinor &&
        (roundedBy < 0n ? -roundedBy : roundedBy) * 2n <= (coin ?? 0n)
      );
    }),
    { numRuns: 2000 },
  );
});
