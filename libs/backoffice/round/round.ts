import { formatInstant } from '#contracts/format';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { ChangeRound, PlanRound, Round, RoundListQuery } from '#contracts/round';
import type { TenantTransaction } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertRound, lockRound, replaceStops, selectCollector, selectRound, selectRounds, selectSitesOnDay, selectStops, updateRound, type RoundRow, type StopRow } from './round.sql';

const constraints = { collection_round_pkey: taken(['id'], 'a round with this id') };

/** Plans a round: sites in their order, on one day, by one person. */
export function planRound(deps: Backoffice, caller: Caller, command: PlanRound): Promise<Outcome<Round>> {
  return perform(
    deps,
    caller,
    'round.plan',
    async ({ tx, now }) => {
      const wrong = await wrongPlan(tx, command);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const id = command.id ?? deps.newId();
      await insertRound(tx, { id, name: command.name, planned_on: localDate(command.plannedOn), collector_id: command.collectorId, now });
      await replaceStops(tx, { id, siteIds: command.siteIds });
      return readBack(tx, id);
    },
    { constraints },
  );
}

/** Changes a round that was not called off. Stops are given whole, in their new order. */
export function changeRound(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly expectedRevision: number } & ChangeRound): Promise<Outcome<Round>> {
  return perform(deps, caller, 'round.plan', async ({ tx }) => {
    const row = await planned(tx, command);
    if (!row.ok) return row;
    const { name = row.value.name, plannedOn = row.value.planned_on, collectorId = row.value.collector_id } = command;
    const siteIds = command.siteIds ?? (await selectStops(tx, [command.id])).map(({ site_id: siteId }) => siteId);
    const wrong = await wrongPlan(tx, { plannedOn, collectorId, siteIds });
    if (wrong.length > 0) return refusedFields('invalid-command', wrong);
    await updateRound(tx, { ...row.value, name, planned_on: localDate(plannedOn), collector_id: collectorId });
    if (command.siteIds !== undefined) await replaceStops(tx, { id: command.id, siteIds });
    return readBack(tx, command.id);
  });
}

/** Calls a round off. It stays in the list with the reason. */
export function cancelRound(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<Round>> {
  return perform(deps, caller, 'round.plan', async ({ tx }) => {
    const row = await planned(tx, command);
    if (!row.ok) return row;
    await updateRound(tx, { ...row.value, state: 'cancelled', cancelled_because: command.reason });
    return readBack(tx, command.id);
  });
}

export function readRound(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Round>> {
  return perform(deps, caller, 'round.read', async ({ tx }) => {
    const row = await selectRound(tx, query.id);
    return row === null ? refused('not-found') : done(toRound(row, await selectStops(tx, [row.id])));
  });
}

export function listRounds(deps: Backoffice, caller: Caller, query: RoundListQuery): Promise<Outcome<Page<Round>>> {
  return perform<Page<Round>>(deps, caller, 'round.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.date(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectRounds(tx, { after, limit: query.limit + 1, from: query.from ?? null, before: query.before ?? null, missed: query.missed === 'yes' });
    const stops = await selectStops(tx, rows.map(({ id }) => id));
    const stopsOf = (id: string) => stops.filter((stop) => stop.round_id === id);
    return done(toPage({ rows, limit: query.limit, item: (row) => toRound(row, stopsOf(row.id)), keyOf: (row) => [row.planned_on, row.id] }));
  });
}

/** The round, held, if it is the one that was read and still stands. */
async function planned(tx: TenantTransaction, command: { readonly id: string; readonly expectedRevision?: number }): Promise<Outcome<RoundRow>> {
  await lockRound(tx, command.id);
  const row = await selectRound(tx, command.id);
  if (row === null) return refused('not-found');
  if (command.expectedRevision !== undefined && row.revision !== command.expectedRevision) return refused('changed-meanwhile');
  return row.state === 'cancelled' ? refused('wrong-state', { detail: 'The round was called off.' }) : done(row);
}

async function wrongPlan(tx: TenantTransaction, plan: { readonly plannedOn: string; readonly collectorId: string; readonly siteIds: readonly string[] }): Promise<WrongField[]> {
  const { plannedOn: day, collectorId, siteIds } = plan;
  const collector = await selectCollector(tx, { personId: collectorId, day });
  const sites = new Map((await selectSitesOnDay(tx, { siteIds, day })).map((site) => [site.id, site]));
  return [...wrongCollector(collector, day), ...siteIds.flatMap((id, index) => wrongSite(sites.get(id), { day, index }))];
}

function wrongCollector(collector: Awaited<ReturnType<typeof selectCollector>>, day: string): WrongField[] {
  const wrong = (code: string, message: string): WrongField[] => [{ path: ['collectorId'], code, message }];
  if (collector === null) return wrong('unknown', 'There is no person with this id.');
  if (collector.employed_by === 'site') return wrong('employed-by-site', 'Only the operator’s own people collect.');
  return collector.there ? [] : wrong('not-employed-then', `The person is not with the operator on ${day}.`);
}

function wrongSite(site: { readonly code: string; readonly open: boolean } | undefined, { day, index }: { readonly day: string; readonly index: number }): WrongField[] {
  if (site === undefined) return [{ path: ['siteIds', index], code: 'unknown', message: 'There is no site with this id.' }];
  return site.open ? [] : [{ path: ['siteIds', index], code: 'site-not-open', message: `Site ${site.code} is not open on ${day}.` }];
}

async function readBack(tx: TenantTransaction, id: string): Promise<Outcome<Round>> {
  const row = await selectRound(tx, id);
  if (row === null) throw new Error(`round ${id} is gone`);
  return done(toRound(row, await selectStops(tx, [id])));
}

function toRound(row: RoundRow, stops: readonly StopRow[]): Round {
  return {
    id: row.id,
    name: row.name,
    plannedOn: row.planned_on,
    collectorId: row.collector_id,
    collectorName: row.collector_name,
    state: row.state,
    cancelledBecause: row.cancelled_because,
    stops: stops.map((stop) => ({ siteId: stop.site_id, siteCode: stop.site_code, siteName: stop.site_name, collectedOn: stop.collected_on, plannedAgainOn: stop.planned_again_on })),
    revision: row.revision,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
