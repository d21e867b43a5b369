import { failureInWords } from './failure';

const reader = { reasons: { 'terms-missing': 'Es gelten keine Bedingungen.', late: 'Zu spät.' }, day: (day: string) => `Tag ${day}` };

it.each([
  [{ code: 'terms-missing', message: 'No terms are in force during the period.' }, 'Es gelten keine Bedingungen.'],
  [{ code: 'late', message: 'A later period has its number already. (3 November 2026)' }, 'Zu spät. (Tag 2026-11-03)'],
  [{ code: 'late', message: 'It is late. (periods-out-of-order)' }, 'Zu spät. (periods-out-of-order)'],
  [{ code: 'late', message: 'It is late (no stamp (out-of-reach): no route).' }, 'Zu spät. (no stamp (out-of-reach): no route)'],
  [{ code: 'new', message: 'Something else. (3 November 2026)' }, 'Something else. (3 November 2026)'],
])('says %j', (failure, said) => {
  expect(failureInWords(failure, reader)).toBe(said);
});
