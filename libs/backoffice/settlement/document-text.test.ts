import fc from 'fast-check';
import { encodeInputs, encodeResult } from '#contracts/settlement-document';
import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { settle } from '#domain/settlement/settle';
import { charge, count, insideRule, inputs, machine, period, slip, version } from '#tests/support/settlement-inputs';
import { documentText } from './document-text';

it('writes what the slower way writes, for inputs and result of a settlement', () => {
  const given = inputs(
    period('2026-01-01', '2026-02-01', {
      machines: [machine('A'), machine('B')],
      counts: [count('A', '2026-01-15', 60_000n), count('B', '2026-01-15', 40_000n)],
      refundSlips: [slip('B', '2026-01-15', 500n)],
      taxRules: [insideRule(['4', '0.5'])],
      versions: [version('2020-01-01', { charges: [charge({ title: 'Miete "Łódź" \\ \u2028' })] })],
    }),
  );
  expect(documentText({ ...given })).toBe(canonicalJson(encodeInputs(given)));
  for (const explain of [true, false]) {
    const result = settle(given, { explain });
    expect(documentText({ ...result })).toBe(canonicalJson(encodeResult(result)));
  }
});

it('writes any plain value canonically', () => {
  const value = fc.letrec<{ tree: CanonicalValue }>((tie) => ({
    tree: fc.oneof(
      { maxDepth: 4 },
      fc.string({ unit: 'grapheme' }),
      fc.string({ unit: 'binary-ascii' }),
      fc.maxSafeInteger(),
      fc.boolean(),
      fc.constant(null),
      fc.array(tie('tree')),
      fc.dictionary(fc.string(), tie('tree')),
    ),
  })).tree;
  fc.assert(fc.property(value, (tree) => expect(documentText({ tree })).toBe(canonicalJson({ tree }))));
});

it.each([[0.5], [undefined], [Number.NaN], ['\ud800'], [() => 1], [new Date(0)]])('refuses %p', (value) => {
  expect(() => documentText({ value })).toThrow('no canonical JSON');
});
