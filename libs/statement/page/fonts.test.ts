import { statementFonts, uncoveredCharacters } from '#statement/page/fonts';

describe('uncoveredCharacters', () => {
  it.each(['Łódź', 'Größe & Söhne', 'Ñandú', 'Αθήνα', 'Київ', 'Đặng', 'İstanbul', 'O’Neil – “Bar”', 'Café №5', ''])('finds none in %p', (name) => {
    expect(uncoveredCharacters(name)).toEqual([]);
  });

  it('names each missing character once', () => {
    expect(uncoveredCharacters('東京 バー 東')).toEqual(['東', '京', 'バ', 'ー']);
    expect(uncoveredCharacters('Bar 🎉🎉')).toEqual(['🎉']);
  });

  it('counts letters that would be printed in the wrong direction as missing', () => {
    expect(uncoveredCharacters('קפה')).toHaveLength(3);
    expect(uncoveredCharacters('مقهى')).toHaveLength(4);
  });

  it('counts control characters and halves of characters as missing', () => {
    expect(uncoveredCharacters('a\nb\tc\u0000')).toEqual(['\n', '\t', '\u0000']);
    expect(uncoveredCharacters('\ud83d')).toHaveLength(1);
  });
});

describe('remembered shapes', () => {
  it('are as the font shapes them, the second time as the first', () => {
    const { regular } = statementFonts();
    const unremembered: typeof regular = Object.getPrototypeOf(regular);
    for (const text of ['1,234,567.89', '−0.05', 'AVATAR', 'office', 'To', 'V.', '7']) {
      const expected = unremembered.layout(text);
      for (let time = 0; time < 2; time += 1) {
        const run = regular.layout(text);
        expect(run.glyphs.map(({ id }) => id)).toEqual(expected.glyphs.map(({ id }) => id));
        expect(run.positions.map(({ xAdvance }) => xAdvance)).toEqual(expected.positions.map(({ xAdvance }) => xAdvance));
        expect(run.advanceWidth).toBe(expected.advanceWidth);
        for (const position of run.positions) position.xAdvance = 0;
      }
    }
  });
});
