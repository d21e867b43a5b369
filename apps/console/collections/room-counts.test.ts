import { emptyBox } from '../phone/box-draft';
import { fetchPageWords } from '../words/words';
import { toCounts, type BoxToCount } from './room-counts';

beforeAll(fetchPageWords);

const usd = (amount: string) => ({ amount, currency: 'USD' });
const quarter = { id: 'quarter', name: 'Quarter', tender: 'coin' as const, face: usd('0.25'), pieceGrams: '5.67', from: null, until: null, source: '31 U.S.C. 5112(a)' };
const place = { currency: 'USD', coinSet: { currency: 'USD', readOn: '2026-01-01', weighWithinPercent: 25, issues: [quarter] }, locale: 'en-US', scale: null };
const box = (fields: Partial<BoxToCount['box']>, more: Partial<BoxToCount> = {}): BoxToCount => ({ machineId: 'one', tag: 'M-1', box: { ...emptyBox, ...fields }, ...more });

it('hands in what was counted, and leaves out a box about which nothing was said', () => {
  expect(toCounts([box({ coin: '80', badCoin: '0.25' }), box({}, { machineId: 'two', tag: 'M-2' })], place)).toEqual({ body: { counts: [{ machineTag: 'M-1', coin: usd('80.00'), note: usd('0.00'), badCoin: usd('0.25') }], scaleCheck: null }, errors: [] });
});

it('brings the check of the scale with what was weighed', () => {
  const scale = { id: 'check', scale: 'Tray 2', reference: '1000', shown: '1000', checkedAt: '2026-03-31T14:00:00Z' };
  expect(toCounts([box({ way: 'weight', grams: { quarter: '1134' } })], { ...place, scale })).toMatchObject({ body: { counts: [{ tally: [{ issueId: 'quarter', grams: '1134' }] }], scaleCheck: { id: 'check', referenceGrams: '1000' } }, errors: [] });
});

it.each([
  ['nothing counted at all', box({}), 'one-coin', 'Enter what you counted'],
  ['a weight between two numbers of pieces, on a scale that nobody checked', box({ way: 'weight', grams: { quarter: '1131.2' } }), 'scale-name', 'Enter which scale you checked'],
  ['amounts under the pieces', box({ way: 'pieces', coin: '5' }), 'one-way', 'M-1: Amounts are typed as well and would be lost (5): choose “amounts” to see them, and empty one of the two'],
])('names the field of %s', (_what, counted, fieldId, message) => {
  expect(toCounts([counted], place).errors[0]).toEqual({ fieldId, message });
});
