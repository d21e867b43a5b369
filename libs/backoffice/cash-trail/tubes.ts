import type { CashTrail } from '#contracts/cash-trail';
import { moneyOf } from '#contracts/money';
import type { TenantTransaction } from '#database/tenant';
import type { FigureName } from '#domain/audit-data/elements';
import type { Figures } from '#domain/audit-data/sums';
import { tubesOf, type ReadOut, type ToldTubes, type TubesFacts } from '#domain/cash-trail/tubes';
import { selectFigures } from '../audit-file/audit-file.sql';
import { selectFundMoves, selectTubes, type FundMoveRow, type TubesRow } from './tubes.sql';

type TubesView = CashTrail['tubes'][number];
type TubesGap = TubesView['gaps'][number];

/** What machines told of their change tubes at accepted collections of a day, against the funds of the books. */
export async function tubesOfDay(tx: TenantTransaction, day: string): Promise<TubesView[]> {
  const rows = await selectTubes(tx, day);
  const fileIds = rows.flatMap((row) => [row.file_id, row.before_file_id, row.earlier_file_id, row.counted_file_id].filter((id) => id !== null));
  const figures = await selectFigures(tx, [...new Set(fileIds)]);
  const moves = await selectFundMoves(tx, { fundIds: rows.flatMap((row) => row.fund_ids), day });
  return rows.map((row) => toTubes(row, { day, moves: moves.filter((move) => row.fund_ids.includes(move.fund_id)), told: (id) => toldBy(figures.get(id) ?? new Map()) }));
}

type Books = { readonly day: string; readonly moves: readonly FundMoveRow[]; readonly told: (fileId: string) => ToldTubes };

function toTubes(row: TubesRow, { day, moves, told }: Books): TubesView {
  const now = told(row.file_id);
  const readOut = (fileId: string | null, on: string | null): ReadOut | null => (fileId === null || on === null ? null : { day: on, told: told(fileId) });
  const found = tubesOf({
    now: { day, told: now },
    before: readOut(row.before_file_id, row.before_day),
    earlier: readOut(row.earlier_file_id, row.earlier_day),
    counted: countedOf(row, told),
    moves: moves.map((move) => ({ kind: move.kind, day: move.moved_on, amountMinor: move.amount_minor })),
  });
  const money = (minor: bigint) => moneyOf(minor, row.currency);
  const known = (minor: bigint | null | undefined) => (minor === null || minor === undefined ? null : money(minor));
  const gap = (kind: TubesGap['kind'], minor: bigint | null, holder: TubesGap['holder']): TubesGap[] =>
    minor === null || minor === 0n ? [] : [{ kind, collectionId: row.collection_id, siteCode: row.site_code, amount: money(minor), holder }];
  return {
    collectionId: row.collection_id,
    siteCode: row.site_code,
    machineTag: row.machine_tag,
    fundCodes: row.fund_codes,
    collectorName: row.collector_name ?? '',
    contents: known(now.contentsMinor),
    booked: money(found.bookedMinor),
    kept: known(found.keptMinor),
    expected: known(found.expectedMinor),
    unknown: found.unknown,
    filledTold: known(found.filled?.toldMinor),
    filledBooked: known(found.filled?.bookedMinor),
    letOutTold: known(found.letOut?.toldMinor),
    letOutBooked: known(found.letOut?.bookedMinor),
    // The element that tells the contents is from memory (`elements.ts`): nobody is asked to explain what it may not say.
    gaps: [...gap('tubes', found.contentsGapMinor, null), ...gap('fillings', found.fillingsGapMinor, 'collector'), ...gap('let-out', found.letOutGapMinor, 'collector')],
  };
}

/** Nobody knows into which of two funds sales went: a count of one alone says nothing of what lies in the tubes. */
function countedOf(row: TubesRow, told: Books['told']): TubesFacts['counted'] {
  if (row.funds_counted === 0 || row.counted_on === null) return 'never-counted';
  if (row.funds_counted < row.fund_ids.length || row.days_counted > 1) return 'counted-apart';
  return row.counted_file_id === null ? 'not-read-out-when-counted' : { day: row.counted_on, countedMinor: row.counted_minor, told: told(row.counted_file_id) };
}

function toldBy(figures: Figures): ToldTubes {
  const of = (name: FigureName): bigint | null => figures.get(name)?.sinceSetUp ?? null;
  return { contentsMinor: of('tubeContents'), toTubesMinor: of('toTubes'), paidOutMinor: of('paidOut'), paidOutByHandMinor: of('paidOutByHand'), filledMinor: of('filled') };
}
