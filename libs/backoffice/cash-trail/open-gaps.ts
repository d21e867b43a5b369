import type { CashGaps, CashGapsQuery } from '#contracts/cash-trail';
import { done, type Outcome } from '#contracts/outcome';
import { bagFinding, bagHolder } from '#domain/cash-trail/bags';
import { stillOpen, type DatedGap } from '#domain/cash-trail/still-open';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { selectBagsOfDays, type BagRow } from './bag.sql';
import { toFacts } from './bags';
import { selectMovesOfDays } from './move.sql';
import { currenciesOf, roomOfDay, roundsOf, type OfDay } from './of-day';
import { toGap } from './trail';
import { selectTrailCollections, type TrailCollectionRow } from './trail.sql';

/** A gap of a day with who had the cash last. */
type Walked = DatedGap & { readonly currency: CurrencyCode; readonly collectorId: string | null; readonly collectorName: string };

/** Over many days: the gaps of the cash that are still open, and the bags that did not arrive as they left. Change tubes are left to the trail of the day: what a machine tells of them builds on the day before. */
export async function readCashGaps(deps: Backoffice, caller: Caller, query: CashGapsQuery): Promise<Outcome<CashGaps>> {
  return perform<CashGaps>(deps, caller, 'cash-trail.read', async ({ tx }) => {
    const collections = await selectTrailCollections(tx, query);
    const moves = (await selectMovesOfDays(tx, query)).filter((move) => move.taken_back === null);
    const bags = await selectBagsOfDays(tx, query);
    const byId = new Map(collections.map((row) => [row.id, row]));
    const [ownCollections, ownBags] = [groupBy(collections, ({ day }) => day), groupBy(bags, (bag) => byId.get(bag.collection_id)?.day)];
    const days = new Set([...ownCollections.keys(), ...moves.flatMap((move) => [move.moved_on, move.counted_on ?? move.moved_on])]);
    const walked = [...days]
      .filter((day) => day >= query.from && day <= query.to)
      .sort()
      .flatMap((day) => gapsOf({ day, collections: ownCollections.get(day) ?? [], moves: moves.filter((move) => move.moved_on === day || move.counted_on === day), bags: ownBags.get(day) ?? [] }));
    return done({
      ...query,
      gaps: stillOpen(walked).map(({ day, currency, collectorId, collectorName, ...gap }) => ({ ...toGap(gap, currency, byId.get(gap.collectionId ?? '')?.site_code ?? null), day, collectorId, collectorName })),
      bags: bags.flatMap((bag) => notArrived(bag, byId.get(bag.collection_id))),
      waiting: collections.filter(({ counted_minor: countedMinor }) => countedMinor === null).length,
    });
  });
}

function gapsOf(facts: OfDay & { readonly day: LocalDate }): Walked[] {
  const { day } = facts;
  const rounds = roundsOf(facts);
  const ofRounds = rounds.flatMap(({ collectorId, collectorName, currency, round }) => round.gaps.map((gap) => ({ ...gap, day, currency, collectorId, collectorName, of: `${collectorId ?? ''} ${currency}` })));
  const ofRooms = currenciesOf(facts, rounds).flatMap((currency) => {
    const { gap } = roomOfDay(facts, { rounds, currency });
    return gap === null ? [] : [{ ...gap, day, currency, collectorId: null, collectorName: '', of: currency }];
  });
  return [...ofRounds, ...ofRooms];
}

function notArrived(bag: BagRow, collection: TrailCollectionRow | undefined): CashGaps['bags'] {
  const finding = bag.withdrawn ? null : bagFinding(toFacts(bag));
  if (finding === null || collection === undefined) return [];
  const { day, collector_id: collectorId, collector_name: collectorName } = collection;
  return [{ day, collectorId, collectorName: collectorName ?? '', bagId: bag.id, collectionId: bag.collection_id, siteCode: bag.site_code, number: bag.number, finding, holder: bagHolder(finding) }];
}
