import type { CashTrail } from '#contracts/cash-trail';
import { moneyOf } from '#contracts/money';
import type { TenantTransaction } from '#database/tenant';
import type { FigureName } from '#domain/audit-data/elements';
import type { Figures } from '#domain/audit-data/sums';
import { tubesOf, type ToldTubes } from '#domain/cash-trail/tubes';
import { selectFigures } from '../audit-file/audit-file.sql';
import { selectTubes, type TubesRow } from './tubes.sql';

type TubesView = CashTrail['tubes'][number];

/** What machines told of their change tubes at accepted collections of a day, against the funds of the books. */
export async function tubesOfDay(tx: TenantTransaction, day: string): Promise<TubesView[]> {
  const rows = await selectTubes(tx, day);
  const figures = await selectFigures(tx, [...new Set(rows.flatMap((row) => [row.file_id, row.before_file_id, row.counted_file_id].filter((id) => id !== null)))]);
  return rows.map((row) => toTubes(row, (id) => toldBy(figures.get(id) ?? new Map())));
}

function toTubes(row: TubesRow, told: (fileId: string) => ToldTubes): TubesView {
  const now = told(row.file_id);
  const found = tubesOf({
    now,
    before: row.before_file_id === null ? null : { told: told(row.before_file_id), filledMinor: row.filled_minor },
    bookedMinor: row.booked_minor,
    counted: row.counted_file_id !== null ? told(row.counted_file_id) : row.was_counted ? 'not-read-out' : 'never',
  });
  const money = (minor: bigint) => moneyOf(minor, row.currency);
  const known = (minor: bigint | null) => (minor === null ? null : money(minor));
  const gap = (kind: 'tubes' | 'fillings', minor: bigint | null): TubesView['gaps'] =>
    minor === null || minor === 0n ? [] : [{ kind, collectionId: row.collection_id, siteCode: row.site_code, amount: money(minor), holder: 'collector' }];
  return {
    collectionId: row.collection_id,
    siteCode: row.site_code,
    machineTag: row.machine_tag,
    fundCodes: row.fund_codes,
    collectorName: row.collector_name ?? '',
    contents: known(now.contentsMinor),
    booked: money(row.booked_minor),
    kept: known(found.keptMinor),
    expected: known(found.expectedMinor),
    unknown: found.unknown,
    filledTold: known(found.filledToldMinor),
    filledBooked: row.before_file_id === null ? null : money(row.filled_minor),
    gaps: [...gap('tubes', found.contentsGapMinor), ...gap('fillings', found.fillingsGapMinor)],
  };
}

function toldBy(figures: Figures): ToldTubes {
  const of = (name: FigureName): bigint | null => figures.get(name)?.sinceSetUp ?? null;
  return { contentsMinor: of('tubeContents'), toTubesMinor: of('toTubes'), paidOutMinor: of('paidOut'), paidOutByHandMinor: of('paidOutByHand'), filledMinor: of('filled') };
}
