import { answeredBy } from './answered-by';

const claims = [100n, 150n, 400n].map((amount_minor, index) => ({ id: `claim ${String(index)}`, amount_minor }));
const ids = (amount: bigint) => answeredBy(claims, amount).map(({ id }) => id);

it('takes all claims that a sum is the sum of, or one that has the amount, and never some of them', () => {
  expect(ids(650n)).toEqual(['claim 0', 'claim 1', 'claim 2']);
  expect(ids(150n)).toEqual(['claim 1']);
  // The first and the second: the third lay open for another visit, or the file added up other slips.
  expect(ids(250n)).toEqual([]);
  expect(ids(700n)).toEqual([]);
});

it('takes the oldest of several that have the amount', () => {
  expect(answeredBy([...claims, { id: 'later', amount_minor: 150n }], 150n).map(({ id }) => id)).toEqual(['claim 1']);
});
