import { cashBoxKeyMayGoTo } from './cash-box-receivers';

const at = new Date('2026-11-26T12:00:00Z');
const always = { from: '2026-01-01T00:00:00Z', until: null };
const without = { exceptions: [], at };

test('a cash-box key goes to the own people, and to nobody at a site', () => {
  expect(cashBoxKeyMayGoTo({ siteId: null, personId: 'collector' }, without)).toBe(true);
  expect(cashBoxKeyMayGoTo({ siteId: 'quay', personId: 'barkeeper' }, without)).toBe(false);
  expect(cashBoxKeyMayGoTo({ siteId: 'quay', personId: null }, without)).toBe(false);
});

test('an exception for the site lets everybody and every place there, one for a person lets them alone', () => {
  const ofSite = { exceptions: [{ siteId: 'quay', personId: null, ...always }], at };
  expect([cashBoxKeyMayGoTo({ siteId: 'quay', personId: 'barkeeper' }, ofSite), cashBoxKeyMayGoTo({ siteId: 'quay', personId: null }, ofSite), cashBoxKeyMayGoTo({ siteId: 'mill', personId: 'cook' }, ofSite)]).toEqual([true, true, false]);
  const ofPerson = { exceptions: [{ siteId: null, personId: 'barkeeper', ...always }], at };
  expect([cashBoxKeyMayGoTo({ siteId: 'quay', personId: 'barkeeper' }, ofPerson), cashBoxKeyMayGoTo({ siteId: 'quay', personId: 'cook' }, ofPerson), cashBoxKeyMayGoTo({ siteId: 'quay', personId: null }, ofPerson)]).toEqual([true, false, false]);
});

test('an exception that ended, or has not begun, lets nobody', () => {
  for (const when of [{ from: '2026-01-01T00:00:00Z', until: '2026-11-26T12:00:00Z' }, { from: '2026-11-26T12:00:01Z', until: null }]) {
    expect(cashBoxKeyMayGoTo({ siteId: 'quay', personId: 'barkeeper' }, { exceptions: [{ siteId: 'quay', personId: null, ...when }], at })).toBe(false);
  }
});
