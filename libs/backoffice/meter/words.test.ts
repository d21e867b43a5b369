import { readDifference } from '#domain/meters/difference';
import { intervalInWords, shown } from './words';

const sentence = (before: bigint, after: bigint) =>
  intervalInWords({ from: shown(before, 5), to: shown(after, 5), tender: 'plays', difference: readDifference({ before, after, capacity: 100_000n, ceiling: 20_160n, confirmed: false, passedEnd: false }) });

it.each([
  [99_986n, 11n, 'The meter went from 99986 to 00011: taken as a rollover of 25 plays.'],
  [120n, 121n, 'The meter went from 00120 to 00121: 1 play.'],
  [40_000n, 120n, 'The meter went from 40000 to 00120: it was set back or read wrong. Record what it showed before and after it was set back, or correct the reading.'],
  [0n, 20_161n, 'The meter went from 00000 to 20161: 20161 plays are more than the machine can earn in the time. A second person corrects the reading, or confirms it.'],
])('says of %s -> %s: %s', (before, after, words) => {
  expect(sentence(before, after)).toBe(words);
});

it('asks of a fall that nothing explains what it was', () => {
  expect(intervalInWords({ from: '40000', to: '00120', tender: 'coin', difference: { kind: 'rollover-or-reset', units: 60_120n } })).toBe(
    'The meter went from 40000 to 00120: it passed its last value (60120 coin units), was set back, or was read wrong; in this time the machine could have run through all it shows, so that nothing tells. A second person says that it passed its last value, or corrects the reading; or record what it showed before and after it was set back.',
  );
});

it('says of an open board that nothing was played', () => {
  expect(intervalInWords({ from: '4', to: '0', tender: 'coin', difference: { kind: 'board-open' } })).toBe('The board was open while the meter went from 4 to 0: nothing was played.');
});
