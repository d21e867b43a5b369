import { dayInWords, daysInWords } from './day-in-words';
import { refused, refusedFields } from './outcome';

test.each([
  ['2026-10-31', '31 October 2026'],
  ['2024-02-29', '29 February 2024'],
  ['0999-01-05', '5 January 0999'],
  ['2026-13-01', '2026-13-01'],
  ['yesterday', 'yesterday'],
])('%s is written %s', (day, words) => expect(dayInWords(day)).toBe(words));

test('a sentence keeps everything but its days', () => {
  expect(daysInWords('The journal is closed through 2026-02-28, and this would be booked to 2026-03-01.')).toBe('The journal is closed through 28 February 2026, and this would be booked to 1 March 2026.');
  expect(daysInWords('Since 2026-02-28T10:00:00Z; slip 12026-02-28-7; S-2026-02-28.')).toBe('Since 2026-02-28T10:00:00Z; slip 12026-02-28-7; S-2026-02-28.');
});

test('a refusal says its days in words, of the whole and of each field', () => {
  expect(refused('wrong-state', { detail: 'It ended on 2026-02-28.' })).toMatchObject({ failure: { detail: 'It ended on 28 February 2026.' } });
  expect(refusedFields('invalid-command', [{ path: ['day'], code: 'late', message: 'At the site it is 2026-03-01.' }])).toMatchObject({ failure: { errors: [{ message: 'At the site it is 1 March 2026.' }] } });
});
