import type { MonthEnd } from '../api/shapes';
import { currentStep, remaining } from './step';

const none = { agreements: 0, withoutCollections: 0, openCollections: 0, drafts: 0, reviewed: 0, numbered: 0, issued: 0, failed: 0, lateChanges: 0, openRefundClaims: 0, held: 0, unpaid: 0, partlyPaid: 0, disputed: 0, paid: 0, toReceive: 0 };
const monthEnd = (counts: Partial<MonthEnd['counts']>, closeId: string | null = 'close') => ({ counts: { ...none, ...counts }, closeId });

describe('what is left at each step', () => {
  it('counts every agreement at exactly one step', () => {
    const all = monthEnd({ agreements: 60, withoutCollections: 3, openCollections: 2, drafts: 10, reviewed: 20, numbered: 5, issued: 12, failed: 1, unpaid: 6, partlyPaid: 2, disputed: 1, paid: 8 });
    expect(remaining(all)).toEqual({ collect: 5, settle: 8, review: 10, issue: 25, paid: 9 });
  });
});

describe('where the attention belongs', () => {
  it('is closing as soon as anything can be settled, although some sites are missing', () => {
    expect(currentStep(monthEnd({ agreements: 60, withoutCollections: 3 }, null))).toBe('settle');
    expect(currentStep(monthEnd({ agreements: 3, withoutCollections: 3 }, null))).toBe('collect');
  });

  it('goes on step by step, and back to what was missing at the end', () => {
    expect(currentStep(monthEnd({ agreements: 4, failed: 1, drafts: 3 }))).toBe('settle');
    expect(currentStep(monthEnd({ agreements: 4, drafts: 3, reviewed: 1 }))).toBe('review');
    expect(currentStep(monthEnd({ agreements: 4, reviewed: 3, issued: 1 }))).toBe('issue');
    expect(currentStep(monthEnd({ agreements: 4, numbered: 3, issued: 1 }))).toBe('issue');
    expect(currentStep(monthEnd({ agreements: 4, withoutCollections: 1, issued: 3 }))).toBe('collect');
    expect(currentStep(monthEnd({ agreements: 4, reviewed: 1, issued: 3, unpaid: 3 }))).toBe('issue');
    for (const open of ['unpaid', 'partlyPaid', 'disputed']) expect(currentStep(monthEnd({ agreements: 4, withoutCollections: 1, issued: 3, paid: 2, [open]: 1 }))).toBe('paid');
    expect(currentStep(monthEnd({ agreements: 4, issued: 4, paid: 4 }))).toBe('paid');
  });
});
