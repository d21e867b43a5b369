import { fitBoardSchema } from '#contracts/meter';
import { firstsFor, isSecondUnsaid, newMeter, readMeter, wrongIn, type MeterDraft } from './board-draft';

const reading = { currency: 'USD', locale: 'en-US' } as const;
const meter: MeterDraft = { ...newMeter(1, 'coin'), label: 'Coin', unitValue: '0.25', mostPerHour: '240', value: '004711' };

it('makes of what is typed a meter that the api takes', () => {
  expect(wrongIn(meter, reading)).toEqual([]);
  const board = { label: 'Board 1', meters: [readMeter(meter, { ...reading, meters: [meter] }), readMeter({ ...meter, digits: '' }, { ...reading, meters: [] })] };
  expect(fitBoardSchema.safeParse(board).error).toBeUndefined();
  expect(board.meters.map(({ digits }) => digits)).toEqual([6, null]);
});

it.each([
  ['label', ''],
  ['unitValue', 'a quarter'],
  ['digits', '2'],
  ['digits', '13'],
  ['digits', '6.5'],
  ['mostPerHour', '0'],
  ['mostPerHour', ''],
  ['value', '12a'],
  ['value', '1234567890123'],
] as const)('names %s when it is %p', (name, text) => {
  expect(wrongIn({ ...meter, [name]: text }, reading)).toEqual([name]);
});

describe('a second counter', () => {
  const mechanical: MeterDraft = { ...meter, key: 2, label: 'Coin, mechanical', secondOf: 1 };
  const notes: MeterDraft = { ...meter, key: 3, label: 'Notes', tender: 'note' };
  it('names its first by the label', () => {
    expect(readMeter(mechanical, { ...reading, meters: [meter, mechanical] })).toMatchObject({ secondOfLabel: 'Coin' });
    expect(readMeter(meter, { ...reading, meters: [meter, mechanical] })).not.toHaveProperty('secondOfLabel');
  });
  it('stands beside a meter that counts the same, has no other, and is none', () => {
    const third: MeterDraft = { ...meter, key: 4 };
    expect(firstsFor(third, [meter, third, notes]).map(({ key }) => key)).toEqual([1]);
    expect(firstsFor(third, [meter, mechanical, third])).toEqual([]);
    expect(firstsFor(meter, [meter, mechanical, third])).toEqual([]);
    expect(firstsFor({ ...third, tender: 'refunds' }, [{ ...meter, tender: 'refunds' }, third])).toEqual([]);
  });
  it('is asked about where a meter before it counts the same, until it is said', () => {
    const third: MeterDraft = { ...meter, key: 4 };
    const unsaid = (...meters: readonly MeterDraft[]) => meters.filter((each) => isSecondUnsaid(each, meters)).map(({ key }) => key);
    expect(unsaid(meter, third)).toEqual([4]);
    expect(unsaid(meter, notes)).toEqual([]);
    expect(unsaid(meter, { ...third, secondOf: 1 })).toEqual([]);
    const own: MeterDraft = { ...third, secondOf: 'own' };
    expect([unsaid(meter, own), readMeter(own, { ...reading, meters: [meter, own] }).secondOfLabel]).toEqual([[], null]);
    // Its first has the one second counter that it takes.
    expect(unsaid(meter, mechanical, third)).toEqual([]);
  });
  it('is none any more where its first counts something else now, or was taken away', () => {
    for (const meters of [[{ ...meter, tender: 'note' as const }, mechanical], [mechanical]]) expect(readMeter(mechanical, { ...reading, meters })).not.toHaveProperty('secondOfLabel');
  });
});
