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
import { decimal } from '#domain/money/decimal';
import type { SettlementInputs } from '#domain/settlement/inputs';
import { settle } from '#domain/settlement/settle';
import { siteOf } from '#domain/terms/parties';
import type { AdvanceRecoup } from '#domain/terms/types';
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

/** The same with what the books add at the payout: an advance under way, cash handed over, and a balance brought forward. */
const paidOut = chosen.slice(0, 8).map(({ given }, index) => {
  const site = siteOf(given.current.versions[0]?.terms ?? missing());
  const recoup: AdvanceRecoup = index % 2 === 0 ? { kind: 'fixed', amountMinor: 40_00n } : { kind: 'percentage', percent: decimal('12.5') };
  const versions = given.current.versions.map((version) => ({
    ...version,
    terms: { ...version.terms, advances: recoup, payout: { ...version.terms.payout, smallestCoinMinor: index % 3 === 0 ? 5n : null } },
  }));
  const inputs: SettlementInputs = {
    ...given,
    current: { ...given.current, versions, limits: given.current.limits.filter(({ kind }) => kind !== 'no-advances') },
    carriedItems: [{ id: 'carried', party: site, amountMinor: index % 2 === 0 ? -7_31n : 4_05n }],
    advances: [
      { id: 'advance-older', party: site, openMinor: 12_34n },
      { id: 'advance-younger', party: site, openMinor: 500_00n },
    ],
    handedCash: [
      { id: 'handed', party: site, collectionId: given.current.counts[0]?.collectionId ?? null, date: given.current.period.from, amountMinor: 20_00n, reason: 'handed' },
      { id: 'on-account', party: site, collectionId: null, date: given.current.period.from, amountMinor: 3_33n, reason: 'on-account' },
    ],
  };
  return { given: inputs, result: settle(inputs) };
});

function missing(): never {
  throw new Error('a settlement without terms');
}

mkdirSync(issuedFolder, { recursive: true });
for (const [name, settlements] of [[`seed-${seed}`, chosen], [`paid-out-${seed}`, paidOut]] as const) {
  settlements.forEach(({ given, result }, index) => {
    const file = join(issuedFolder, `engine-${result.engineVersion}-${name}-${String(index + 1).padStart(2, '0')}.json`);
    if (existsSync(file)) return;
    writeFileSync(file, `${canonicalJson({ inputs: encodeInputs(given), result: encodeResult(result) })}\n`);
    process.stdout.write(`${file}\n`);
  });
}
