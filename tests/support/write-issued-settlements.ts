/**
 * Adds settlements to the corpus in tests/published/issued: random ones of a seed, computed by today's engine. A file
 * that is there stays as it is, because it stands for a statement in somebody's drawer.
 *
 *   node -C src -r @swc-node/register tests/support/write-issued-settlements.ts
 */
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { encodeInputs, encodeResult } from '#contracts/settlement-document';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { issuedFolder } from '#tests/support/issued-settlements';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { issueAll, periodDays, span } from '#tests/support/settlement-timeline';

const events = arbitraryEvents(span, { maxEvents: 8 }).chain((list) =>
  fc.array(fc.integer({ min: 0, max: periodDays.length }), { minLength: list.length, maxLength: list.length }).map((delays) => ({ list, delays })),
);
const timelines = fc
  .tuple(arbitraryVersions(span), arbitraryTaxRules(span), events)
  .map(([versions, taxRules, { list, delays }]) => issueAll({ versions, taxRules }, list.map((event, index) => ({ event, knownIn: delays[index] ?? 0 }))));

const seed = 1;
const wanted = 12;

/** The third settlement of a timeline has the most behind it: carries, late counts, changed terms. */
const chosen = fc
  .sample(timelines, { seed, numRuns: 400 })
  .flatMap(({ inputs, results }) => {
    const [given, result] = [inputs[2], results[2]];
    return given === undefined || result === undefined || result.periods.length < 2 || result.totals.takingsMinor === 0n ? [] : [{ given, result }];
  })
  .slice(0, wanted);

mkdirSync(issuedFolder, { recursive: true });
chosen.forEach(({ given, result }, index) => {
  const file = join(issuedFolder, `engine-${result.engineVersion}-seed-${seed}-${String(index + 1).padStart(2, '0')}.json`);
  if (existsSync(file)) return;
  writeFileSync(file, `${canonicalJson({ inputs: encodeInputs(given), result: encodeResult(result) })}\n`);
  process.stdout.write(`${file}\n`);
});
