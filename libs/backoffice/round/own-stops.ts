import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { OwnStops, SiteBoxes, SiteBoxesQuery } from '#contracts/round';
import { isCurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import { selectAgreementOn, selectVisitedSite } from '../collection/directory.sql';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { toOpenClaim } from '../refund-claim/refund-claim';
import { selectOpenClaims, type OpenClaimRow } from '../refund-claim/refund-claim.sql';
import { groupBy } from '../settlement/inputs/group-by';
import { keptProblem } from '../visit/kept-problem';
import { selectOwnKeptVisits, type OwnKeptVisitRow } from '../visit/visit.sql';
import { selectMachinesAtStops, selectOwnStops, type MachineAtStopRow, type OwnStopRow } from './round.sql';

/** The caller's own stops of today, and their own visits that the office has still to settle. No reading, no date of a visit in the books and no amount but those of the sites' own slips is among it. */
export function readOwnStops(deps: Backoffice, caller: Caller): Promise<Outcome<OwnStops>> {
  return perform<OwnStops>(deps, caller, 'own-stops.read', async ({ tx, now }) => {
    const personId = caller.kind === 'user' ? caller.personId : null;
    const stops = personId === null ? [] : await selectOwnStops(tx, { personId, now });
    const machines = groupBy(await selectMachinesAtStops(tx, { siteIds: stops.map((stop) => stop.site_id), now }), (row) => row.site_id);
    const claims = groupBy(await selectOpenClaims(tx, stops.map((stop) => stop.site_id)), (row) => row.site_id);
    const kept = caller.kind === 'user' ? await selectOwnKeptVisits(tx, { accountId: caller.id }) : [];
    return done({
      personId,
      stops: stops.map((stop) => toStop(stop, { machines: machines.get(stop.site_id) ?? [], claims: claims.get(stop.site_id) ?? [] })),
      keptVisits: kept.map(toOwnKept),
    });
  });
}

function toOwnKept(visit: OwnKeptVisitRow): OwnStops['keptVisits'][number] {
  const problem = keptProblem(visit.problem);
  return {
    id: visit.id,
    siteName: visit.site_name,
    happenedAt: visit.happened_at,
    receivedAt: formatInstant(visit.received_at),
    why: problem === null ? null : { code: problem.code, errors: problem.errors ?? [] },
  };
}

/** What a form for a visit, or for the count of its bags, asks for: which boxes, meters and tokens there are, and nothing that was found in them. */
export function readSiteBoxes(deps: Backoffice, caller: Caller, query: { readonly siteId: string } & SiteBoxesQuery): Promise<Outcome<SiteBoxes>> {
  return perform<SiteBoxes>(deps, caller, 'site-boxes.read', async ({ tx, now }) => {
    const site = await selectVisitedSite(tx, query.siteId);
    if (site === null) return refused('not-found');
    const at = query.at === undefined ? now : new Date(query.at);
    const day = localDay({ instant: at, timeZone: site.time_zone });
    const terms = day === null ? null : await selectAgreementOn(tx, { siteId: site.id, day });
    const machines = await selectMachinesAtStops(tx, { siteIds: [site.id], now: at });
    return done({
      siteId: site.id,
      siteCode: site.code,
      siteName: site.name,
      currency: site.currency,
      timeZone: site.time_zone,
      tokens: terms?.token_ids ?? [],
      byMeters: terms?.basis === 'metered',
      machines: toMachines(machines),
      refundClaims: (await selectOpenClaims(tx, [site.id])).map(toOpenClaim),
    });
  });
}

function toStop(row: OwnStopRow, { machines, claims }: { readonly machines: readonly MachineAtStopRow[]; readonly claims: readonly OpenClaimRow[] }): OwnStops['stops'][number] {
  if (!isCurrencyCode(row.currency)) throw new Error(`site ${row.site_code} has currency ${row.currency}`);
  return {
    roundId: row.round_id,
    roundName: row.round_name,
    plannedOn: row.planned_on,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    address: row.address,
    currency: row.currency,
    timeZone: row.time_zone,
    collected: row.collected,
    tokens: row.token_ids ?? [],
    byMeters: row.basis === 'metered',
    withOffice: row.with_office,
    machines: toMachines(machines),
    refundClaims: claims.map(toOpenClaim),
  };
}

function toMachines(rows: readonly MachineAtStopRow[]): SiteBoxes['machines'] {
  return [...groupBy(rows, (row) => row.machine_id).values()].map(toMachine);
}

function toMachine(rows: readonly MachineAtStopRow[]): OwnStops['stops'][number]['machines'][number] {
  const [first] = rows;
  if (first === undefined) throw new Error('a group has no row');
  const meters = rows.flatMap(({ meter_id: meterId, label, digits }) => (meterId === null || label === null ? [] : [{ meterId, label, digits }]));
  return { machineId: first.machine_id, tag: first.tag, game: first.game, leaves: first.leaves, meters };
}
