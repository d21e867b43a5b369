import { asTyped, readTypedPercent } from './typed-percent';

describe('a percentage that somebody types', () => {
  it.each([['50', '50'], ['33.333333333', '33.333333333'], [' 7.50 % ', '7.5'], ['0', '0'], ['100', '100'], ['100.00', '100'], ['007', '7']])('%s is %s', (text, percent) => {
    expect(readTypedPercent({ text, locale: 'en-US' })).toBe(percent);
  });

  it.each(['', '-1', '100.01', '101', '1,5', '5e1', '0.0000000001', 'half'])('%s is none', (text) => {
    expect(readTypedPercent({ text, locale: 'en-US' })).toBeNull();
  });

  it('has the decimal mark of the reader', () => {
    expect(readTypedPercent({ text: '12,5', locale: 'de-DE' })).toBe('12.5');
    expect(asTyped({ text: '12.5', locale: 'de-DE' })).toBe('12,5');
  });
});
