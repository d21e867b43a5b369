import fc from 'fast-check';
import { sum, unitsOf } from '../format/money';
import { allocate } from './allocate';

const usd = (amount: string) => ({ amount, currency: 'USD' });
const item = (number: string, open: string) => ({ number, settlementId: number, open: usd(open) });

describe('what a payment does to open items', () => {
  it('pays them in order, as far as the money goes', () => {
    const { parts, over } = allocate({ paid: usd('70.00'), items: [item('1', '50.00'), item('2', '30.00'), item('3', '5.00')] });
    expect(parts.map(({ item: { number }, pays, rest }) => [number, pays.amount, rest.amount])).toEqual([['1', '50.00', '0.00'], ['2', '20.00', '10.00']]);
    expect(over).toEqual(usd('0.00'));
  });

  it('takes what the payee owes by its size', () => {
    expect(allocate({ paid: usd('12.00'), items: [item('1', '-10.00')] })).toMatchObject({ parts: [{ pays: usd('10.00') }], over: usd('2.00') });
  });

  it('loses nothing', () => {
    const cents = fc.integer({ min: 1, max: 1_000_000 }).map((value) => `${Math.floor(value / 100)}.${String(value % 100).padStart(2, '0')}`);
    fc.assert(
      fc.property(cents, fc.array(cents, { maxLength: 6 }), (paid, opens) => {
        const { parts, over } = allocate({ paid: usd(paid), items: opens.map((open, index) => item(String(index), open)) });
        expect(sum([over, ...parts.map(({ pays }) => pays)])).toEqual(usd(paid));
        for (const part of parts) expect(unitsOf(part.pays) + unitsOf(part.rest)).toBe(unitsOf(part.item.open));
      }),
    );
  });
});
