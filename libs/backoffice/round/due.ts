import { toAmount, moneyOf } from '#contracts/money';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { CollectionsDue, Rhythm, SetRhythm } from '#contracts/round';
import { localDate } from '#domain/calendar/local-date';
import { cashInBox, daysOverdue, dueOn, type BoxFilling } from '#domain/rounds/due';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import { selectVisitedSite } from '../collection/directory.sql';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { selectLatelyTaken, type LatelyTakenRow } from '../key-question/reach.sql';
import { cashNow, type CashNow } from '../machine-report/cash-now';
import { perform } from '../perform';
import { otherCurrency } from '../refusal';
import { insertRhythm, selectDueSites, type DueSiteRow } from './due.sql';

type DueSite = CollectionsDue['items'][number];

/**
 * When each site at which machines stand is to be visited, the overdue ones first. A fixed number of statements, whatever
 * the number of sites. For who plans: nobody who counts may know what probably lies in a box (25 CFR 543.17(g)(5)), so that
 * nothing is estimated where a collection waits in which the caller has a hand, nor where a round of today sends them; who sees
 * an estimate and counts there afterwards is labelled as not blind.
 */
export function listCollectionsDue(deps: Backoffice, caller: Caller): Promise<Outcome<CollectionsDue>> {
  return perform<CollectionsDue>(deps, caller, 'collection-due.read', async ({ tx, now }) => {
    const sites = await selectDueSites(tx, now);
    const seal = await sealFor({ tx, now }, caller, { siteIds: 'every', ofBoxesNow: true });
    const placementIds = sites.flatMap((site) => (seal.sites.includes(site.site_id) ? [] : site.placement_ids));
    const taken = new Map((await selectLatelyTaken(tx, { at: now, knownAt: now, placementIds })).map((row) => [row.placement_id, row]));
    const reported = await cashNow(tx, { placementIds, now });
    return done({ items: sites.map((site) => toDue(site, { taken, reported, withheld: seal.sites.includes(site.site_id) })).sort(firstDueFirst) });
  });
}

/** Says how often a site is to be visited; what was said before no longer counts. */
export function setRhythm(deps: Backoffice, caller: Caller, command: { readonly siteId: string } & SetRhythm): Promise<Outcome<Rhythm>> {
  const { siteId, everyDays, boxLimit } = command;
  return perform<Rhythm>(deps, caller, 'collection-rhythm.set', async ({ tx, now }) => {
    const site = await selectVisitedSite(tx, siteId);
    if (site === null) return refused('not-found');
    if (boxLimit !== null && boxLimit.currency !== site.currency) {
      return refusedFields('invalid-command', [otherCurrency(['boxLimit', 'currency'], `Site ${site.code} is kept in`, site.currency)]);
    }
    const boxLimitMinor = boxLimit === null ? null : toAmount(boxLimit).minor;
    if (boxLimitMinor === 0n) return refusedFields('invalid-command', [{ path: ['boxLimit', 'amount'], code: 'not-positive', message: 'must be above zero' }]);
    await insertRhythm(tx, { id: deps.newId(), siteId, everyDays, boxLimitMinor, now });
    return done({ siteId, everyDays, boxLimit });
  });
}

type Known = { readonly taken: ReadonlyMap<string, LatelyTakenRow>; readonly reported: ReadonlyMap<string, CashNow> };

function toDue(site: DueSiteRow, { taken, reported, withheld }: Known & { readonly withheld: boolean }): DueSite {
  const boxes = site.placement_ids.map((placementId) => fillingOf(site, { lately: taken.get(placementId), reported: reported.get(placementId) }));
  const due = dueOn({ everyDays: site.every_days, boxLimitMinor: site.box_limit_minor, countedFrom: site.last_collected_on ?? site.first_placed_on, boxes });
  const cash = boxes.map((box) => cashInBox(box, site.today));
  const { round_id: roundId, planned_on: plannedOn, collector_name: collectorName } = site;
  return {
    siteId: site.site_id,
    siteCode: site.site_code,
    siteName: site.site_name,
    lastCollectedOn: site.last_collected_on,
    everyDays: site.every_days,
    boxLimit: site.box_limit_minor === null ? null : moneyOf(site.box_limit_minor, site.currency),
    dueOn: due?.on ?? null,
    because: due?.because ?? null,
    daysOverdue: due === null ? 0 : daysOverdue({ due: due.on, today: site.today }),
    cash: moneyOf(cash.reduce<bigint>((sum, minor) => sum + (minor ?? 0n), 0n), site.currency),
    machines: boxes.length,
    machinesWithoutEstimate: cash.filter((minor) => minor === null).length,
    withheld,
    planned: roundId === null || plannedOn === null || collectorName === null ? null : { roundId, plannedOn, collectorName },
  };
}

/** What the machine reported goes before what was taken lately; a box of which there is neither holds what nobody knows. */
function fillingOf(site: DueSiteRow, { lately, reported }: { readonly lately: LatelyTakenRow | undefined; readonly reported: CashNow | undefined }): BoxFilling {
  const known = reported === undefined ? null : localDay({ instant: reported.at, timeZone: site.time_zone });
  if (reported !== undefined && known !== null) {
    return { knownMinor: reported.minor, knownOn: known, lately: lately === undefined ? null : { takenMinor: lately.taken_minor, days: lately.days } };
  }
  if (lately === undefined) return { knownMinor: 0n, knownOn: site.first_placed_on, lately: null };
  return { knownMinor: 0n, knownOn: localDate(lately.last_collected_on), lately: { takenMinor: lately.taken_minor, days: lately.days } };
}

function firstDueFirst(left: DueSite, right: DueSite): number {
  if (left.dueOn !== right.dueOn) return left.dueOn === null || (right.dueOn !== null && right.dueOn < left.dueOn) ? 1 : -1;
  return left.siteCode < right.siteCode ? -1 : 1;
}
