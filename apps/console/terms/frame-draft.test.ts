import { termsSchema } from '#contracts/terms';
import { localDate } from '#domain/calendar/local-date';
import { plainestTerms } from './draft';
import { frameDraftOf, readFrame, type FrameDraft } from './frame-draft';

const terms = plainestTerms('USD');
const plain = frameDraftOf(terms, 'en-US');
const read = (draft: FrameDraft, locale = 'en-US') => readFrame({ draft, currency: 'USD', locale });

it('gives back what it was made of', () => {
  const { arrangement, cycle, cashless, advances, payout } = terms;
  expect(read(plain).frame).toEqual({ arrangement, cycle, cashless, advances, payout });
  const other = { arrangement: 'space-lease', cycle: { kind: 'four-weeks', anchor: localDate('2026-01-05') }, cashless: 'by-collection', advances: { kind: 'percentage', percent: '12.5' }, payout: { smallest: '20.00', negative: 'claim', smallestCoin: '0.05' } } as const;
  const typed = frameDraftOf({ ...other, advances: { ...other.advances } } as Parameters<typeof frameDraftOf>[0], 'de-AT');
  expect(typed.advancesFigure).toBe('12,5');
  expect(read(typed, 'de-AT').frame).toEqual(other);
});

it.each([
  [{ advances: 'fixed', advancesFigure: '150.00' }, { kind: 'fixed', amount: '150.00' }],
  [{ advances: 'none', advancesFigure: 'nothing' }, { kind: 'none' }],
] as const)('reads %j', (part, advances) => {
  const { frame } = read({ ...plain, ...part });
  expect(frame?.advances).toEqual(advances);
  expect(termsSchema.safeParse({ ...terms, ...frame }).error).toBeUndefined();
});

it('takes card payments by the visit where each visit is settled on its own', () => {
  expect(read({ ...plain, cycle: 'visit' }).frame?.cashless).toBe('by-collection');
  expect(read({ ...plain, cycle: 'week', weekday: '7' }).frame?.cycle).toEqual({ kind: 'week', startsOnWeekday: 7 });
});

it('names what is not finished by its place', () => {
  const { unfinished } = read({ ...plain, cycle: 'four-weeks', advances: 'percentage', advancesFigure: '101', smallest: 'much', smallestCoin: '-1' });
  expect(unfinished.map(({ place }) => place)).toEqual(['cycle-anchor', 'advances-percent', 'payout-smallest', 'payout-smallestCoin']);
});
