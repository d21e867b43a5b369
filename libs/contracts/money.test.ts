import { moneyNotNegativeSchema, moneySchema, toAmount, toMoney } from '#contracts/money';

const problem = (value: unknown) => moneySchema.safeParse(value).error?.issues.map(({ path, message }) => [path.join('.'), message]);

test.each([
  // ISO 4217 digits: USD 2, JPY 0, KWD 3.
  ['USD', '1234.50', 123_450n],
  ['USD', '-0.01', -1n],
  ['JPY', '1234', 1234n],
  ['KWD', '1.005', 1005n],
] as const)('%s %s is read and written alike', (currency, amount, minor) => {
  const money = moneySchema.parse({ amount, currency });
  expect(toAmount(money)).toEqual({ currency, minor });
  expect(toMoney({ currency, minor })).toEqual({ amount, currency });
});

test.each([
  ['too few digits', { amount: '12.5', currency: 'USD' }],
  ['too many digits', { amount: '12.505', currency: 'USD' }],
  ['digits where there are none', { amount: '12.00', currency: 'JPY' }],
  ['a separator of thousands', { amount: '1,234.50', currency: 'USD' }],
  ['an exponent', { amount: '1e3', currency: 'JPY' }],
  ['a space', { amount: ' 12.50', currency: 'USD' }],
  ['a plus', { amount: '+12.50', currency: 'USD' }],
  ['negative zero', { amount: '-0.00', currency: 'USD' }],
  ['beyond any cash box', { amount: '10000000000000.01', currency: 'USD' }],
])('%s is refused at the amount', (_name, value) => {
  expect(problem(value)).toEqual([['amount', expect.any(String)]]);
});

test('an unknown currency and a number instead of text are refused', () => {
  expect(problem({ amount: '1.00', currency: 'XYZ' })).toEqual([['currency', expect.any(String)]]);
  expect(problem({ amount: 1, currency: 'USD' })).toEqual([['amount', expect.any(String)]]);
});

test('a count is not below zero', () => {
  expect(moneyNotNegativeSchema.safeParse({ amount: '-0.01', currency: 'USD' }).success).toBe(false);
  expect(moneyNotNegativeSchema.safeParse({ amount: '0.00', currency: 'USD' }).success).toBe(true);
});
