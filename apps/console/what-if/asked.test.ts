import { decimal } from '#domain/money/decimal';
import { lastTwelveMonths, readChoice, writeAsked, type Asked } from './asked';

const asked: Asked = {
  siteId: '0199f0a0-0000-7000-8000-000000000001',
  startsOn: '2026-01-01',
  endsBefore: '2026-07-01',
  changes: { loss: 'share', split: { kind: 'shares', shares: [{ party: 'operator', percent: decimal('40') }, { party: 'site', percent: decimal('60') }] } },
};

describe('what is compared, in the address', () => {
  it('comes back as it was written', () => {
    expect(readChoice(new URLSearchParams(writeAsked(asked).toString()), '2026-11-26')).toEqual(asked);
  });

  it.each(['', 'terms=%7B%22loss%22', 'terms=%7B%22loss%22%3A%22gone%22%7D', 'terms=%7B%7D'])('is not guessed where it says nothing that terms can be: %s', (address) => {
    expect(readChoice(new URLSearchParams(address), '2026-11-26')).toEqual({ siteId: null, startsOn: '2025-11-01', endsBefore: '2026-11-01', changes: null });
  });

  it('begins with twelve whole months', () => {
    expect(lastTwelveMonths('2026-01-31')).toEqual({ startsOn: '2025-01-01', endsBefore: '2026-01-01' });
  });
});
