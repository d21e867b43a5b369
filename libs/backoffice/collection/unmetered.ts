import type { AskedAmount, MissingReading, UntoldBox, UntoldWhy } from '#contracts/untold-box';
import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { groupBy } from '../meter/to-board';
import { selectUnsaid, type UnsaidRow } from './metered.sql';
import { boxKey, toldByMeters, type Told } from './told';
import { selectBoxesBetween, selectBoxMeters, type BoxMeterRow } from './unmetered.sql';

/** A counted box of which somebody has to say what the meters imply. */
export type Unmetered = { readonly collectionId: string; readonly machineId: string; readonly machineTag: string; readonly siteCode: string; readonly localDate: UnsaidRow['local_date']; readonly why: readonly UntoldWhy[] };

/**
 * Boxes of collections under terms that go by the meters of which these cannot tell what they imply, and nobody said it. Before acceptance only those of
 * which no reading ever will; of the others it shows when the books are settled, and who counts is not told before what fits and what does not.
 */
export async function unmeteredBoxes(tx: TenantTransaction, collectionIds: readonly string[], { accepted }: { readonly accepted: boolean }): Promise<Unmetered[]> {
  const unsaid = await selectUnsaid(tx, collectionIds, { every: accepted });
  const recorded = unsaid.filter((row) => row.is_recorded);
  const told: ReadonlyMap<string, Told> = recorded.length === 0 ? new Map() : await toldByMeters(tx, [...new Set(recorded.map((row) => row.collection_id))]);
  return unsaid.flatMap((row): Unmetered[] => {
    const box = { collectionId: row.collection_id, machineId: row.machine_id };
    const ofMeters = row.is_recorded ? told.get(boxKey(box)) : { untold: ['not-recorded'] as const };
    if (ofMeters === undefined || 'minor' in ofMeters) return [];
    const why: readonly UntoldWhy[] = accepted || !row.is_recorded ? ofMeters.untold : ['left-unread'];
    return [{ ...box, machineTag: row.machine_tag, siteCode: row.site_code, localDate: row.local_date, why }];
  });
}

/** Such boxes with the readings that are missing, and what an amount that is said of them has to cover. */
export async function askedAmounts(tx: TenantTransaction, boxes: readonly Unmetered[]): Promise<AskedAmount[]> {
  const recorded = boxes.filter(({ why }) => !why.includes('not-recorded'));
  const meters = groupBy(recorded.length === 0 ? [] : await selectBoxMeters(tx, recorded), keyOfRow);
  const spans = recorded.flatMap((box) => {
    const starts = countedFrom(box, meters.get(boxKey(box)) ?? []).map(({ since_at: at }) => at?.getTime() ?? Number.NEGATIVE_INFINITY);
    return starts.length === 0 || !Number.isFinite(Math.min(...starts)) ? [] : [{ ...box, from: new Date(Math.min(...starts)) }];
  });
  const between = groupBy(spans.length === 0 ? [] : await selectBoxesBetween(tx, spans), keyOfRow);
  return boxes.map((box): AskedAmount => {
    const rows = meters.get(boxKey(box)) ?? [];
    const counted = countedFrom(box, rows);
    const [first] = rows;
    const shown = { ...box, why: [...box.why], missing: missingReadings(box, rows) };
    if (first === undefined) return { ...shown, since: null };
    const readings = counted.flatMap(({ label, board_out: boardOut, digits, since_at: at, since_day: day, since_value: value }) => (at === null || day === null || value === null ? [] : [{ meterLabel: label, boardOut, value: value.toString().padStart(digits ?? 0, '0'), at: formatInstant(at), day }]));
    return {
      ...shown,
      since: {
        readings,
        placedOn: counted.some(({ since_elsewhere: elsewhere }) => elsewhere === true) ? first.placed_on : null,
        boxes: (between.get(boxKey(box)) ?? []).map((row) => ({ collectionId: row.between_id, localDate: row.local_date })),
        laterMeters: rows.filter((row) => !counted.includes(row) && row.board_out === null).map(({ label }) => label),
      },
    };
  });
}

/** Boxes of accepted collections for which settlements wait, without any figure. */
export async function untoldBoxes(tx: TenantTransaction, collectionIds: readonly string[]): Promise<UntoldBox[]> {
  const boxes = collectionIds.length === 0 ? [] : await unmeteredBoxes(tx, collectionIds, { accepted: true });
  return (await askedAmounts(tx, boxes)).map(({ since: _, ...box }) => box);
}

/** Meters whose count is part of the box. One that was not read with it is read again at the next one, but for where the machine has left. */
function countedFrom({ why }: Unmetered, rows: readonly BoxMeterRow[]): BoxMeterRow[] {
  return rows.filter((row) => row.read_here || row.removed_on !== null || why.includes('left-unread'));
}

function missingReadings({ why, siteCode }: Unmetered, rows: readonly BoxMeterRow[]): MissingReading[] {
  const labels = (of: readonly BoxMeterRow[]): string[] => of.map(({ label }) => label);
  const at = (occasion: 'removal' | 'placement', of: readonly BoxMeterRow[]): MissingReading[] => {
    const day = occasion === 'removal' ? of[0]?.removed_on : of[0]?.placed_on;
    return day === undefined || day === null ? [] : [{ occasion, siteCode, day, at: null, meters: labels(of) }];
  };
  const isAbout = (each: UntoldWhy): boolean => why.includes(each);
  const [read, unread] = [rows.filter((row) => row.read_here && row.board_out === null), rows.filter((row) => !row.read_here && row.board_out === null)];
  const prices = groupBy(isAbout('price-unread') ? rows.flatMap((row) => row.unread_prices.map((change) => ({ ...change, row }))) : [], ({ atMs }) => String(atMs));
  return [
    ...(isAbout('left-unread') || isAbout('moved-unread') ? at('removal', unread) : []),
    ...(isAbout('moved-unread') || isAbout('first-reading') ? at('placement', read.filter(({ since_elsewhere: elsewhere }) => elsewhere !== false)) : []),
    ...[...prices.values()].map(([first, ...rest]): MissingReading => ({ occasion: 'price-change', siteCode: null, day: first.day, at: formatInstant(new Date(first.atMs)), meters: labels([first.row, ...rest.map(({ row }) => row)]) })),
  ];
}

const keyOfRow = (row: { readonly collection_id: string; readonly machine_id: string }): string => boxKey({ collectionId: row.collection_id, machineId: row.machine_id });
