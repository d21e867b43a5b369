import { sayFailure } from './failure';

const reader = {
  language: 'de',
  reasons: { 'terms-missing': 'Es gelten keine Bedingungen.', late: 'Zu spät.' },
  titles: { 'flags-open': 'Differenzen sind nicht erklärt' },
  day: (day: string) => `Tag ${day}`,
};

it.each([
  [{ code: 'terms-missing', message: 'No terms are in force during the period.' }, 'Es gelten keine Bedingungen.'],
  [{ code: 'late', message: 'A later period has its number already. (3 November 2026)' }, 'Zu spät. (Tag 2026-11-03)'],
  [{ code: 'late', message: 'It is late. (periods-out-of-order)' }, 'Zu spät. (periods-out-of-order)'],
  [{ code: 'late', message: 'It is late (no stamp (out-of-reach): no route).' }, 'Zu spät. (no stamp (out-of-reach): no route)'],
])('says %j in the words of the page', (failure, own) => {
  expect(sayFailure(failure, reader)).toEqual({ own, inEnglish: [] });
});

const flags = { code: 'flags-open', message: 'Not explained: Q-1 on 3 November 2026 (25.00 short).' };
const unheardOf = { code: 'new', message: 'Something else. (3 November 2026)' };

it('leaves what only the api knows of this one in English beside the title', () => {
  expect(sayFailure(flags, reader)).toEqual({ own: 'Differenzen sind nicht erklärt', inEnglish: ['Not explained: Q-1 on 3 November 2026 (25.00 short)'] });
  expect(sayFailure(unheardOf, reader)).toEqual({ own: 'new', inEnglish: ['Something else. (3 November 2026)'] });
});

it.each([flags, unheardOf])('says on an English page what the api says: %j', (failure) => {
  expect(sayFailure(failure, { ...reader, language: 'en' })).toEqual({ own: failure.message, inEnglish: [] });
});
