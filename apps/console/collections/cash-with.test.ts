import { cashWithOf } from './cash-with';

const count = (machineTag: string, cashWith: 'collector' | 'counting-room', more: object = {}) => ({ machineTag, cashWith, replacesId: null, late: false, ...more });

test('what went out of a box is missing of the cash of that box, and else of what the collector had', () => {
  const both = [count('M-1', 'collector'), count('M-2', 'counting-room')];
  expect([cashWithOf(both, 'M-1'), cashWithOf(both, 'M-2'), cashWithOf(both, 'M-3'), cashWithOf(both, null)]).toEqual(['collector', 'counting-room', 'collector', 'collector']);
  const room = [count('M-2', 'counting-room')];
  expect([cashWithOf(room, 'M-2'), cashWithOf(room, 'M-3'), cashWithOf([], null)]).toEqual(['counting-room', 'counting-room', 'counting-room']);
  // What is filled out of a box that waits in its bag is the room's; who says of no machine what it came from had it in hand.
  expect([cashWithOf([count('M-1', 'collector')], 'M-2', { inBags: true }), cashWithOf([count('M-1', 'collector')], 'M-1', { inBags: true }), cashWithOf([count('M-1', 'collector')], null, { inBags: true })]).toEqual(['counting-room', 'collector', 'collector']);
  // As it was booked: no count that came after acceptance says it otherwise.
  expect(cashWithOf([count('M-1', 'collector'), count('M-2', 'counting-room', { late: true }), count('M-2', 'counting-room', { replacesId: 'a late count' })], 'M-2')).toBe('collector');
});
