import { localDate } from '../calendar/local-date';
import { mayLieInBox } from './in-use';

// The round pound was money from 21 April 1983 to 15 October 2017 (proclamations under the Coinage Act 1971, as the press printed them).
const round = { from: localDate('1983-04-21'), until: localDate('2017-10-15') };

test.each([
  ['1983-04-20', false],
  ['1983-04-21', true],
  ['2017-10-15', true],
  ['2018-01-15', true],
  ['2018-01-16', false],
])('a box that is emptied on %s may hold a coin that was money until three months before: %s', (day, may) => {
  expect(mayLieInBox(round, localDate(day))).toBe(may);
});

test('an issue without days may lie in any box', () => expect(mayLieInBox({ from: null, until: null }, localDate('1950-01-01'))).toBe(true));
