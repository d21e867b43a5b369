import { fetchPageWords, words } from '../words/words';
import { nameOf, reasonOf } from './line-words';

beforeAll(fetchPageWords);

it('names a figure with the title of its charge, even one that looks like a pattern', () => {
  expect(nameOf({ kind: 'charge', label: 'Charge: Room', title: 'Room' })).toBe('Charge: Room');
  expect(nameOf({ kind: 'charge', label: 'Charge: $& {title}', title: '$& {title}' })).toBe('Charge: $& {title}');
  expect(nameOf({ kind: 'not-known-here', label: 'As the api says', title: null })).toBe('As the api says');
});

it('says how a figure came about, and what it was when it was issued', () => {
  const { formulas } = words.explanations;
  expect(reasonOf({ formula: 'percentage', change: null, text: '' })).toBe(formulas.percentage);
  expect(reasonOf({ formula: 'percentage', change: { issued: '10.00', now: '12.50' }, text: '' })).toBe(`Issued before: 10.00. Now: 12.50. The difference is settled here. ${formulas.percentage}`);
  expect(reasonOf({ formula: 'not-known-here', change: null, text: 'As the api says.' })).toBe('As the api says.');
});
