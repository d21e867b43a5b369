import { currencyOf, entriesOf, isExchanged, isLastBox, withLastBox, withValue, without } from './leaves';

const visit = {
  siteId: 'site',
  happenedAt: '2026-03-31T12:00:00Z',
  counts: [
    { machineTag: 'M-1', coin: { amount: '182.50', currency: 'USD' }, note: { amount: '0.00', currency: 'USD' } },
    { machineTag: 'M-2', tally: [{ issueId: 'dime', pieces: 40 }] },
  ],
  cashHanded: [{ id: 'x', amount: { amount: '20.00', currency: 'USD' }, acknowledgedBy: 'Bo Tarn', signature: [[1, 2, 3, 4]] }],
};

describe('a visit as values to correct', () => {
  it('lists what people can correct, entry by entry, and leaves ids, currencies and signatures alone', () => {
    expect(entriesOf(visit).map(({ group, index, leaves }) => [group, index, leaves.map(({ path, value }) => [path, value])])).toEqual([
      ['counts', 0, [['counts/0/machineTag', 'M-1'], ['counts/0/coin/amount', '182.50'], ['counts/0/note/amount', '0.00']]],
      ['counts', 1, [['counts/1/machineTag', 'M-2'], ['counts/1/tally/0/pieces', '40']]],
      ['cashHanded', 0, [['cashHanded/0/amount/amount', '20.00'], ['cashHanded/0/acknowledgedBy', 'Bo Tarn']]],
    ]);
    const beside = { counts: [{ machineTag: 'M-1', tally: [{ issueId: 'quarter', grams: '1134' }, { mixedIssueIds: ['half', 'dime'], grams: '22.68' }], tokens: [{ tokenId: 'RED', pieces: 3 }], houseCoin: { amount: '1.50', currency: 'USD' } }] };
    expect(entriesOf(beside).flatMap(({ leaves }) => leaves.map(({ path, name, of, value }) => [path, name, of, value]))).toEqual([
      ['counts/0/machineTag', 'machineTag', [], 'M-1'],
      ['counts/0/houseCoin/amount', 'houseCoin/amount', [], '1.50'],
      ['counts/0/tally/0/grams', 'grams', ['quarter'], '1134'],
      ['counts/0/tally/1/grams', 'grams', ['half', 'dime'], '22.68'],
      ['counts/0/tokens/0/pieces', 'tokens', ['RED'], '3'],
    ]);
    expect(entriesOf({ counts: 'none at all' })).toEqual([]);
  });

  it('lists why meters were not read beside what others showed', () => {
    const read = { readings: [{ machineId: 'a', meterId: 'b', value: '00123' }], unread: [{ machineId: 'a', meterId: 'c', why: 'other', note: 'Covered in paint' }] };
    expect(entriesOf(read).map(({ group, leaves }) => [group, leaves.map(({ name, value }) => [name, value])])).toEqual([['readings', [['value', '00123']]], ['unread', [['why', 'other'], ['note', 'Covered in paint']]]]);
  });

  it('knows the currency of an amount, and of nothing else that a phone may have sent', () => {
    const leaf = (path: string, value: string) => ({ path, value });
    expect(currencyOf(visit, leaf('counts/0/coin/amount', '182.50'))).toBe('USD');
    expect([leaf('counts/0/machineTag', 'M-1'), leaf('counts/0/coin/amount', 'many'), leaf('counts/9/coin/amount', '1.00')].map((each) => currencyOf(visit, each))).toEqual([null, null, null]);
    expect(currencyOf({ counts: [{ coin: { amount: '1.00', currency: 'nonsense' } }] }, leaf('counts/0/coin/amount', '1.00'))).toBeNull();
  });

  it('changes one value and nothing else', () => {
    expect(withValue(visit, 'counts/0/coin/amount', '128.50')).toEqual({ ...visit, counts: [{ ...visit.counts[0], coin: { amount: '128.50', currency: 'USD' } }, visit.counts[1]] });
    expect(withValue(visit, 'counts/1/tally/0/pieces', '41')).toMatchObject({ counts: [{}, { tally: [{ pieces: 41 }] }] });
    expect(withValue(visit, 'counts/1/tally/0/pieces', 'many')).toMatchObject({ counts: [{}, { tally: [{ pieces: 'many' }] }] });
  });

  it('lists who paid a slip, and knows whether boxes were exchanged', () => {
    const slip = { refunds: [{ id: 'r', machineTag: 'M-1', refundedOn: '2026-03-30', amount: { amount: '3.00', currency: 'USD' }, paidBy: 'operator' }] };
    expect(entriesOf(slip).map(({ leaves }) => leaves.map(({ name, value }) => [name, value]))).toEqual([[['machineTag', 'M-1'], ['refundedOn', '2026-03-30'], ['amount/amount', '3.00'], ['paidBy', 'operator']]]);
    expect([isExchanged(visit), isExchanged({ boxesExchanged: true }), isExchanged({ boxesExchanged: 'many' })]).toEqual([false, true, false]);
  });

  it('leaves out what was marked', () => {
    expect(without(visit, new Set(['counts/0', 'cashHanded/0']))).toEqual({ ...visit, counts: [visit.counts[1]], cashHanded: [] });
  });

  it('says of counts and bags that they are of the last box of a machine', () => {
    const entry = { group: 'counts', index: 1 } as const;
    const last = withLastBox(visit, entry, true);
    expect(last).toMatchObject({ counts: [visit.counts[0], { ...visit.counts[1], removal: true }] });
    expect([isLastBox(visit, entry), isLastBox(last, entry), isLastBox(withLastBox(last, entry, false), entry), isLastBox(visit, { group: 'cashHanded', index: 0 })]).toEqual([false, true, false, null]);
  });
});
