import { settles } from './settles';

const usd = (amount: string) => ({ amount, currency: 'USD' });
const item = (number: string, open: string) => ({ number, settlementId: number, datedOn: '2026-10-31', open: usd(open) });

describe('what a payment does to open items', () => {
  it('pays them in order, as far as the money goes', () => {
    expect(settles({ paid: usd('70.00'), items: [item('1', '50.00'), item('2', '30.00'), item('3', '5.00')], coin: null })).toMatchObject({
      parts: [{ item: { number: '1' }, pays: usd('50.00'), rest: usd('0.00') }, { item: { number: '2' }, pays: usd('20.00'), rest: usd('10.00') }],
      settled: usd('70.00'),
    });
  });

  it('takes what the payee owes by its size, and nothing beyond what is due', () => {
    expect(settles({ paid: usd('10.00'), items: [item('1', '-10.00')], coin: null })).toMatchObject({ ok: true, parts: [{ pays: usd('10.00') }] });
    expect(settles({ paid: usd('12.00'), items: [item('1', '-10.00')], coin: null })).toEqual({ ok: false, code: 'too-much', instead: usd('10.00') });
  });

  it('settles the whole of what is due with the nearest amount that coins can pay', () => {
    expect(settles({ paid: usd('10.00'), items: [item('1', '10.02')], coin: usd('0.05') })).toMatchObject({ ok: true, parts: [{ pays: usd('10.02'), rest: usd('0.00') }], settled: usd('10.02') });
    expect(settles({ paid: usd('10.02'), items: [item('1', '10.02')], coin: usd('0.05') })).toEqual({ ok: false, code: 'not-in-coins', instead: usd('10.00') });
  });
});
