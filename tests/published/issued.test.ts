/** Settlements that were issued once compute again, byte for byte, by the engine that they name. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { decodeInputs, decodeResult, encodeInputs, encodeResult } from '#contracts/settlement-document';
import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { engineOf } from '#domain/settlement/engines';
import { issuedFolder } from '#tests/support/issued-settlements';

const files = readdirSync(issuedFolder).filter((name) => name.endsWith('.json'));

test('there is a corpus', () => {
  expect(files.length).toBeGreaterThanOrEqual(20);
});

test.each(files)('%s', (file) => {
  const stored = JSON.parse(readFileSync(join(issuedFolder, file), 'utf8')) as { inputs: CanonicalValue; result: CanonicalValue };
  const inputs = decodeInputs(stored.inputs);
  const result = decodeResult(stored.result);
  if (!inputs.ok || !result.ok) throw new Error(JSON.stringify([inputs, result].flatMap((decoded) => (decoded.ok ? [] : decoded.problems))));
  const engine = engineOf(result.document.engineVersion);
  if (engine === undefined) throw new Error(`no engine of version ${result.document.engineVersion}`);
  expect(canonicalJson(encodeInputs(inputs.document))).toBe(canonicalJson(stored.inputs));
  expect(canonicalJson(encodeResult(engine(inputs.document)))).toBe(canonicalJson(stored.result));
});
