import { createHash } from 'node:crypto';
import { etagOf } from './archive';

const row = { settlement_id: '0199a1b2-0000-7000-8000-000000000001', site_id: '0199a1b2-0000-7000-8000-000000000002', number: '2026-00001', size_bytes: 9, pdf_digest: createHash('sha256').update('one').digest(), stored_at: new Date('2026-04-02T15:00:00Z'), reversed: false };

describe('the tag by which a broken download goes on', () => {
  const tag = etagOf({ rows: [row], notMade: ['2026-00002', '2026-00003'], heldBack: [] });

  it('is the same for the same contents', () => {
    expect(etagOf({ rows: [{ ...row }], notMade: ['2026-00002', '2026-00003'], heldBack: [] })).toBe(tag);
  });

  it.each([
    ['passes from not made to held back', { rows: [row], notMade: ['2026-00002'], heldBack: ['2026-00003'] }],
    ['is made', { rows: [row, { ...row, number: '2026-00003' }], notMade: ['2026-00002'], heldBack: [] }],
    ['is reversed', { rows: [{ ...row, reversed: true }], notMade: ['2026-00002', '2026-00003'], heldBack: [] }],
  ])('is another one when one statement %s: the bytes are others', (_what, contents) => {
    expect(etagOf(contents)).not.toBe(tag);
  });
});
