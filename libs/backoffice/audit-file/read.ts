import type { AuditFile, AuditFiles } from '#contracts/audit-file';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import { counted, elementOfFigure, figureNames, type FigureName, type Side } from '#domain/audit-data/elements';
import type { Figures } from '#domain/audit-data/sums';
import { isLocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Caller } from '../caller';
import { sealFor } from '../collection/blind';
import { selectCollection } from '../collection/collection.sql';
import type { Backoffice } from '../dependencies';
import { selectMeters, type MeterRow } from '../meter/meter.sql';
import { groupBy } from '../meter/to-board';
import { shown } from '../meter/words';
import { perform, type Unit } from '../perform';
import { selectAuditFile, selectAuditFiles, selectFigures, type AuditFileRow } from './audit-file.sql';
import { fed } from './check';
import { besideOthers, type Misfit } from './sequence';

/** Files that machines were read out into at a collection. What they tell is not for who counts there, until it is accepted. */
export function listAuditFiles(deps: Backoffice, caller: Caller, query: { readonly collectionId: string }): Promise<Outcome<AuditFiles>> {
  return perform<AuditFiles>(deps, caller, 'audit-file.read', async (unit) => {
    if ((await selectCollection(unit.tx, query.collectionId)) === null) return refused('not-found');
    return done({ items: await showFiles(unit, caller, await selectAuditFiles(unit.tx, query.collectionId)) });
  });
}

/** A file as its answer shows it. */
export async function readBack(unit: Unit, caller: Caller, id: string): Promise<Outcome<AuditFile>> {
  const row = await selectAuditFile(unit.tx, id);
  const [file] = row === null ? [] : await showFiles(unit, caller, [row]);
  if (file === undefined) throw new Error(`audit file ${id} is gone`);
  return done(file);
}

async function showFiles(unit: Unit, caller: Caller, rows: readonly AuditFileRow[]): Promise<AuditFile[]> {
  if (rows.length === 0) return [];
  const { tx } = unit;
  const sealed = new Set((await sealFor(unit, caller, { siteIds: [...new Set(rows.map((row) => row.site_id))] })).sites);
  const figures = await selectFigures(tx, rows.map(({ id }) => id));
  const meters = groupBy(await selectMeters(tx, [...new Set(rows.map((row) => row.machine_id))]), (meter) => meter.machine_id);
  const misfits = await besideOthers(tx, rows.map((row) => ({ machineId: row.machine_id, at: row.happened_at, figures: figures.get(row.id) ?? new Map() })));
  return rows.map((row, place) => toAuditFile(row, { figures: figures.get(row.id) ?? new Map(), misfits: misfits[place] ?? [], meters: meters.get(row.machine_id) ?? [], isSealed: sealed.has(row.site_id) }));
}

/** A file of another day may be that of another visit; or the machine's clock is wrong, which only who looks can tell. */
function readOutOn({ machine_clock: clock, local_date: visit }: AuditFileRow): AuditFile['readOutOn'] {
  const [day] = clock?.split(' ') ?? [];
  return day === undefined || !isLocalDate(day) || day === visit ? null : { clock: day, visit };
}

function toAuditFile(row: AuditFileRow, of: { readonly figures: Figures; readonly misfits: readonly Misfit[]; readonly meters: readonly MeterRow[]; readonly isSealed: boolean }): AuditFile {
  const { figures, misfits, meters, isSealed } = of;
  const byId = new Map(meters.map((meter) => [meter.id, meter]));
  const { readings, unfed } = fed(figures, { meters, at: row.happened_at });
  const named = (meterId: string) => ({ meterId, meter: byId.get(meterId)?.label ?? '' });
  return {
    id: row.id,
    collectionId: row.collection_id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    state: row.state,
    serial: row.serial === '' ? null : row.serial,
    assetNumber: row.asset_number === '' ? null : row.asset_number,
    matchedBy: row.matched_by,
    machineClock: row.machine_clock,
    readOutOn: readOutOn(row),
    decimalsTold: row.decimals_told,
    sha256: row.sha256.toString('hex'),
    readings: readings.map(({ meterId, element, value }) => ({ ...named(meterId), element, value: isSealed ? null : shown(value, byId.get(meterId)?.digits ?? null) })),
    readByHand: unfed.map(({ meterId }) => named(meterId)),
    figures: isSealed ? null : figureNames.flatMap((name) => (figures.has(name) ? [showFigure(name, { figures, currency: row.currency })] : [])),
    misfits: isSealed ? null : misfits.map(({ beside, element, message }) => ({ beside, element, message })),
    stagedAt: formatInstant(row.staged_at),
    stagedBy: row.staged_by,
    acceptedAt: row.accepted_at === null ? null : formatInstant(row.accepted_at),
    acceptedBy: row.accepted_by,
  };
}

function showFigure(name: FigureName, { figures, currency }: { readonly figures: Figures; readonly currency: CurrencyCode }) {
  const side = (of: Side) => {
    const value = figures.get(name)?.[of] ?? null;
    if (value === null) return null;
    const element = elementOfFigure(name, of);
    return counted.has(name) ? { element, amount: null, number: String(value) } : { element, amount: moneyOf(value, currency), number: null };
  };
  return { name, sinceReset: side('sinceReset'), sinceSetUp: side('sinceSetUp') };
}
