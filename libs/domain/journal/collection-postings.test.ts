import fc from 'fast-check';
import { collectionPostings, correctionPostings, takenFromOther, withCollector } from './collection-postings';

const sum = (postings: readonly { amountMinor: bigint }[]) => postings.reduce((total, { amountMinor }) => total + amountMinor, 0n);

test('cash from the boxes goes to the counting room, to who was handed some, and waits for the settlement', () => {
  const postings = collectionPostings({
    agreementId: 'agreement',
    countedMinor: 120_00n,
    handed: [
      { party: 'owner', amountMinor: 15_00n },
      { party: 'owner', amountMinor: 5_00n },
    ],
    refundsByOperatorMinor: 3_00n,
  });
  expect(postings).toEqual([
    { account: { code: 'cash-in-counting-room', holderId: null }, amountMinor: 97_00n },
    { account: { code: 'cash-handed', holderId: 'owner' }, amountMinor: 20_00n },
    { account: { code: 'refunds-advanced-by-operator', holderId: null }, amountMinor: 3_00n },
    { account: { code: 'takings-to-settle', holderId: 'agreement' }, amountMinor: -120_00n },
  ]);
});

test('what was counted at the machines is with who collected, and the rest of the visit in the counting room', () => {
  const visit = { agreementId: 'agreement', countedMinor: 400_00n, handed: [{ party: 'owner', amountMinor: 20_00n }], refundsByOperatorMinor: 5_00n };
  expect(collectionPostings({ ...visit, withCollector: { collectorId: 'wren', amountMinor: 280_00n } }).slice(0, 2)).toEqual([
    { account: { code: 'cash-in-counting-room', holderId: null }, amountMinor: 95_00n },
    { account: { code: 'cash-with-collector', holderId: 'wren' }, amountMinor: 280_00n },
  ]);
  expect(collectionPostings({ ...visit, withCollector: { collectorId: null, amountMinor: 0n } })).toEqual(collectionPostings(visit));
});

test('cash that was handed out of another box than was said is missing there, as far as it still was handed out', () => {
  const corrected = (amountMinor: bigint) => withCollector(collectionPostings({ agreementId: 'agreement', countedMinor: 0n, handed: [{ party: 'owner', amountMinor }], refundsByOperatorMinor: 0n }), 'wren');
  const place = { amountMinor: 20_00n, before: null, now: 'wren' };
  expect(takenFromOther(corrected(-3_00n), place)).toEqual([
    { account: { code: 'cash-in-counting-room', holderId: null }, amountMinor: 20_00n },
    { account: { code: 'cash-with-collector', holderId: 'wren' }, amountMinor: -17_00n },
    { account: { code: 'cash-handed', holderId: 'owner' }, amountMinor: -3_00n },
  ]);
  expect(takenFromOther(corrected(-20_00n), place).map(({ account, amountMinor }) => [account.code, amountMinor])).toEqual([['cash-in-counting-room', 20_00n], ['cash-handed', -20_00n]]);
  expect(takenFromOther(corrected(-3_00n), { ...place, before: 'wren' })).toEqual(corrected(-3_00n));
});

test('an empty box posts nothing', () => {
  expect(collectionPostings({ agreementId: 'agreement', countedMinor: 0n, handed: [], refundsByOperatorMinor: 0n })).toEqual([]);
});

test('a correction posts its difference, either way', () => {
  expect(correctionPostings({ agreementId: 'agreement', differenceMinor: -2_50n })).toEqual([
    { account: { code: 'cash-in-counting-room', holderId: null }, amountMinor: -2_50n },
    { account: { code: 'takings-to-settle', holderId: 'agreement' }, amountMinor: 2_50n },
  ]);
});

test('every entry balances', () => {
  const minor = fc.bigInt({ min: 0n, max: 1_000_000n });
  fc.assert(
    fc.property(
      minor,
      fc.array(fc.record({ party: fc.constantFrom('a', 'b'), amountMinor: minor })),
      minor,
      (countedMinor, handed, refundsByOperatorMinor) => {
        expect(sum(collectionPostings({ agreementId: 'agreement', countedMinor, handed, refundsByOperatorMinor }))).toBe(0n);
      },
    ),
  );
});
