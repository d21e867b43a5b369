import { canonicalBytes, canonicalJson, NotCanonicalError, parseCanonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import fc from 'fast-check';

/** For values that the type already refuses but that untyped JSON or a cast can still bring in. */
const untyped = (value: unknown): string => canonicalJson(value as CanonicalValue);

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');

describe('canonicalJson', () => {
  it('sorts names by UTF-16 code units, not by code points or a locale', () => {
    // U+1F600 is stored as D83D DE00 and so comes before U+FB33, though its code point is higher.
    const value = { '\ufb33': 1, '\u{1f600}': 2, Z: 3, a: 4, '10': 5, '9': 6, '': 7 };
    expect(canonicalJson(value)).toBe('{"":7,"10":5,"9":6,"Z":3,"a":4,"\u{1f600}":2,"\ufb33":1}');
  });

  it('is not moved by the order in which members were written', () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string({ unit: 'grapheme' }), fc.maxSafeInteger()), (members) => {
        const reversed = Object.fromEntries(Object.entries(members).reverse());
        expect(canonicalJson(reversed)).toBe(canonicalJson(members));
      }),
    );
  });

  it('reads back as the same value', () => {
    const { value } = fc.letrec<{ value: CanonicalValue }>((tie) => ({
      value: fc.oneof(
        { maxDepth: 4 },
        fc.constant(null),
        fc.boolean(),
        fc.maxSafeInteger(),
        fc.string({ unit: 'grapheme' }),
        fc.array(tie('value')),
        fc.dictionary(fc.string({ unit: 'grapheme' }), tie('value')),
      ),
    }));
    fc.assert(
      fc.property(value, (original) => {
        const text = canonicalJson(original);
        expect(canonicalJson(JSON.parse(text))).toBe(text);
        expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify(original)));
      }),
    );
  });

  it('writes the integers at both ends, and minus zero as zero', () => {
    expect(canonicalJson([Number.MAX_SAFE_INTEGER, Number.MIN_SAFE_INTEGER, -0])).toBe('[9007199254740991,-9007199254740991,0]');
  });

  it.each([
    ['a fraction', { amount: 0.1 }, '/amount'],
    ['an integer that doubles cannot tell from its neighbour', { a: [2 ** 53] }, '/a/0'],
    ['not a number', NaN, ''],
    ['infinity', -Infinity, ''],
    ['a bigint', { amount: 1n }, '/amount'],
    ['an undefined member', { a: undefined }, '/a'],
    ['a hole in an array', new Array<null>(1), '/0'],
    ['a date', { at: new Date(0) }, '/at'],
    ['a map', new Map(), ''],
    ['bytes', new Uint8Array(1), ''],
    ['a function', { toJSON: () => 1 }, '/toJSON'],
    ['a lone high surrogate', { name: '\ud83d' }, '/name'],
    ['a lone low surrogate', '\ude00x', ''],
    ['surrogates in the wrong order', '\ude00\ud83d', ''],
    ['a lone surrogate in a name', { 'a/~\ud800': 1 }, '/a~1~0\ud800'],
  ])('refuses %s and says where', (_, value, path) => {
    expect(() => untyped(value)).toThrow(NotCanonicalError);
    expect(() => untyped(value)).toThrow(expect.objectContaining({ path }));
  });

  it('takes objects without a prototype and objects of another realm', () => {
    expect(untyped(Object.assign(Object.create(null), { b: 1, a: 2 }))).toBe('{"a":2,"b":1}');
    expect(untyped(structuredClone({ b: 1, a: 2 }))).toBe('{"a":2,"b":1}');
  });

  it.each(['{"b":1,"a":2}', '{"a": 1}', '{"a":1,"a":1}', '1.0', '1.5', '"\\u0041"', '"\\ud800"'])('is not read from %s', (text) => {
    expect(() => parseCanonicalJson(text)).toThrow(NotCanonicalError);
  });

  it('is read from its own text', () => {
    expect(parseCanonicalJson('{"a":[1,null,"x"]}')).toEqual({ a: [1, null, 'x'] });
    expect(() => parseCanonicalJson('{')).toThrow(SyntaxError);
  });

  it('encodes as UTF-8', () => {
    expect(hex(canonicalBytes({ name: 'Łódź' }))).toBe('7b226e616d65223a22c581c3b364c5ba227d');
  });
});
