import { fitBoardSchema } from '#contracts/meter';
import { newMeter, readMeter, wrongIn, type MeterDraft } from './board-draft';

const reading = { currency: 'USD', locale: 'en-US' } as const;
const meter: MeterDraft = { ...newMeter(1, 'coin'), label: 'Coin', unitValue: '0.25', mostPerHour: '240', value: '004711' };

it('makes of what is typed a meter that the api takes', () => {
  expect(wrongIn(meter, reading)).toEqual([]);
  const board = { label: 'Board 1', meters: [readMeter(meter, reading), readMeter({ ...meter, digits: '' }, reading)] };
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
