import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { CollectionVariances } from '#contracts/variance';
import { compareThreeWays, type ThreeWay } from '#domain/variance/compare';
import type { Caller } from '../caller';
import { refusedWhileSealed } from '../collection/blind';
import { selectCollection } from '../collection/collection.sql';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { selectOfCollection, type CollectionVarianceRow } from './read-collection.sql';
import { toleranceOn } from './rule-set';
import { selectRuleSets } from './rule-set.sql';
import { showCompared } from './to-flag';

/** Each box of an accepted collection against its meters, tender by tender; what these do not say is named with the reason. */
export function readCollectionVariances(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<CollectionVariances>> {
  return perform<CollectionVariances>(deps, caller, 'variance.read', async (unit) => {
    const { tx } = unit;
    const collection = await selectCollection(tx, query.id);
    if (collection === null) return refused('not-found');
    const sealed = await refusedWhileSealed(unit, caller, [collection.site_id]);
    if (sealed !== null) return sealed;
    const rows = await selectOfCollection(tx, query.id);
    const ruleSets = await selectRuleSets(tx);
    return done({
      collectionId: query.id,
      items: rows.map((row) => ({
        machineId: row.machine_id,
        machineTag: row.machine_tag,
        tender: row.tender,
        ...showCompared({ expectedMinor: row.expected_minor, countedMinor: row.counted_minor, currency: row.currency }),
        unknown: row.unknown,
        source: row.source,
        since: row.since_at === null ? null : formatInstant(row.since_at),
        counts: row.counts,
        outOfTolerance: row.out_of_tolerance,
      })),
      witnesses: [...groupBy(rows, (row) => row.machine_id).values()].flatMap((own) => witnessOf(own, ruleSets)),
    });
  });
}

const results: { readonly [way in ThreeWay]: CollectionVariances['witnesses'][number]['result'] } = {
  'all-agree': 'all-agree',
  'counted-differs': 'counted-differs',
  'mechanical-differs': 'cash-meters-differ',
  'electronic-differs': 'plays-differ',
  unclear: 'unclear',
};

/** Plays are paid in coins and notes alike, so the three are compared over both; this is a witness, and no variance. */
function witnessOf(rows: readonly CollectionVarianceRow[], ruleSets: Awaited<ReturnType<typeof selectRuleSets>>): CollectionVariances['witnesses'] {
  const [first] = rows;
  const playsMinor = rows.find((row) => row.plays_minor !== null)?.plays_minor ?? null;
  if (first === undefined || playsMinor === null) return [];
  const { tolerance } = toleranceOn(ruleSets, { currency: first.currency, day: first.accounting_date });
  const known = rows.flatMap((row) => (row.expected_minor === null ? [] : [{ expectedMinor: row.expected_minor, countedMinor: row.counted_minor }]));
  const spans = new Set(rows.map((row) => row.since_at?.getTime()));
  // Only what counts over the same time can be compared.
  if (tolerance === null || known.length < rows.length || spans.size > 1) return [];
  const expectedMinor = known.reduce((sum, row) => sum + row.expectedMinor, 0n);
  const countedMinor = known.reduce((sum, row) => sum + row.countedMinor, 0n);
  const way = compareThreeWays({ mechanicalMinor: expectedMinor, electronicMinor: playsMinor, countedMinor }, tolerance);
  const money = (minor: bigint) => moneyOf(minor, first.currency);
  return [{ machineId: first.machine_id, machineTag: first.machine_tag, expected: money(expectedMinor), plays: money(playsMinor), counted: money(countedMinor), result: results[way] }];
}
