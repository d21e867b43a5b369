import type { Visit } from '../generated';
import { fieldAt } from './field-at';

const machines = [
  { machineId: 'one', tag: 'M-1', game: null, leaves: false, meters: [{ meterId: 'coins', label: 'Coins', digits: 5 }] },
  { machineId: 'two', tag: 'M-2', game: null, leaves: false, meters: [] },
];
const usd = (amount: string) => ({ amount, currency: 'USD' });
const visit: Visit = {
  siteId: 'site',
  happenedAt: '2026-03-31T14:05:00Z',
  counts: [
    { machineTag: 'M-2', coin: usd('5.00'), note: usd('0.00'), tokens: [{ tokenId: 'RED', pieces: 2 }] },
    { machineTag: 'M-1', tally: [{ issueId: 'usd-quarter', grams: '226.8' }, { mixedIssueIds: ['usd-dime', 'usd-half'], grams: '1' }, { issueId: 'usd-note-5', pieces: 2 }] },
  ],
  bags: [{ machineTag: 'M-1', number: 'B-1', seal: 'S-1' }],
  readings: [{ machineId: 'one', meterId: 'coins', value: '00850' }],
  unread: [{ machineId: 'one', meterId: 'notes', why: 'other', note: 'Wet' }],
  refunds: [{ claimId: 'claim', machineTag: 'M-1', refundedOn: '2026-03-28', amount: usd('2.50') }, { id: 'slip', machineTag: 'M-1', refundedOn: '2026-03-30', amount: usd('2.00') }],
  cashHanded: [{ id: 'cash', amount: usd('20.00'), acknowledgedBy: 'Bo Tarn' }],
};
const at = (pointer: string) => fieldAt(pointer, { visit, machines });

describe('the field in which something of a visit was typed', () => {
  it('finds what is said of a box by its machine, in amounts, in pieces and by weight', () => {
    const [first, second] = [{ machineTag: 'M-2' }, { machineTag: 'M-1' }];
    expect(at('#/visit/counts/0/coin/amount')).toEqual({ fieldId: 'two-coin', about: first });
    expect(at('#/visit/counts/0/machineTag')).toEqual({ fieldId: 'two-coin', about: first });
    expect(at('#/visit/counts/0/tokens/0/tokenId')).toEqual({ fieldId: 'two-token-RED', about: first });
    expect(at('#/visit/counts/0/houseCoin')).toEqual({ fieldId: 'two-house', about: first });
    expect(at('#/visit/counts/1/tally/0/grams')).toEqual({ fieldId: 'one-usd-quarter-grams', about: second });
    expect(at('#/visit/counts/1/tally/1/mixedIssueIds')).toEqual({ fieldId: 'one-mixed_usd-dime_usd-half-grams', about: second });
    expect(at('#/visit/counts/1/tally/2/issueId')).toEqual({ fieldId: 'one-usd-note-5', about: second });
    expect(at('#/visit/counts/1')).toEqual({ fieldId: 'one-way', about: second });
  });

  it('finds bags, meters, slips and hand-overs; what is said of a list is shown at the first of it', () => {
    expect(at('#/visit/bags')).toEqual({ fieldId: 'one-seal', about: { machineTag: 'M-1' } });
    expect(at('#/visit/bags/0/machineTag')).toEqual({ fieldId: 'one-bag', about: { machineTag: 'M-1' } });
    expect(at('#/visit/readings/0/value')).toEqual({ fieldId: 'one-coins', about: { machineTag: 'M-1', meterLabel: 'Coins' } });
    expect(at('#/visit/readings')).toEqual(at('#/visit/readings/0/value'));
    expect(at('#/visit/unread/0/note')).toEqual({ fieldId: 'one-notes-note', about: { machineTag: 'M-1' } });
    expect(at('#/visit/refunds/0/claimId')).toEqual({ fieldId: 'claim-claim', about: null });
    expect(at('#/visit/refunds/1/refundedOn')).toEqual({ fieldId: 'slip-day', about: { kind: 'refund', place: 1 } });
    expect(at('#/visit/cashHanded/0/acknowledgedBy')).toEqual({ fieldId: 'cash-receiver', about: { kind: 'handed', place: 1 } });
    expect(at('#/visit/cashHanded')).toEqual({ fieldId: 'cash-amount', about: { kind: 'handed', place: 1 } });
  });

  it('finds what is said of the visit as a whole, and leads nowhere where the form has no such field', () => {
    expect(at('#/visit/happenedAt')).toEqual({ fieldId: 'at', about: null });
    expect(at('#/visit/accountingDate')).toEqual({ fieldId: 'at', about: null });
    expect(at('#/visit/scaleCheck/shownGrams')).toEqual({ fieldId: 'scale-shown', about: null });
    expect(at('#/visit/counts/7/coin')).toEqual({ fieldId: 'here', about: null });
    expect(at('#/id')).toEqual({ fieldId: null, about: null });
  });
});
