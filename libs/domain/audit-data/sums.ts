/**
 * The laws by which the totals of a transmission prove that each element was read as what it is: cash that came in went to
 * the box, to the tubes or was notes; sales by their means of payment are within all sales; nothing since the reset is
 * larger than since the set-up; and between two transmissions both sides moved by amounts that fit.
 */
import { elementOfFigure, figurePlaces, type FigureName, type Side } from './elements';
import type { AuditRefusal } from './envelope';

/** A figure as the file writes it: in units of the file, or a number of sales. Null where it tells none. */
export interface Figure {
  readonly sinceReset: bigint | null;
  readonly sinceSetUp: bigint | null;
}
export type Figures = ReadonlyMap<FigureName, Figure>;
type Wrong = Pick<AuditRefusal, 'code' | 'element'>;

const sides = ['sinceReset', 'sinceSetUp'] as const satisfies readonly Side[];
/** Digits after the decimal mark that a currency may have, tried where the file does not say how many its amounts have. */
const possibleDecimals = [0, 1, 2, 3];

/** Notes in units of the file, whichever element tells of them, or which element is wrong. */
export function provedNotes(figures: Figures, decimals: number | null): { readonly ok: true; readonly notes: Figure } | { readonly ok: false; readonly wrong: Wrong } {
  const proved: Partial<Record<Side, bigint | null>> = {};
  for (const side of sides) {
    const of = (name: FigureName): bigint | null => figures.get(name)?.[side] ?? null;
    const [newer, older, cashIn] = [of('notesIn'), of('notesInOlder'), of('cashIn')];
    const factors = (decimals === null ? possibleDecimals : [0, decimals]).map((digits) => 10n ** BigInt(digits));
    const rest = cashIn === null || of('toBox') === null ? null : cashIn - (of('toBox') ?? 0n) - (of('toTubes') ?? 0n);
    const olderReads = older === null ? [] : factors.map((factor) => older * factor);
    // A newer element that is zero beside an older one that is not was not filled.
    const notes = newer !== null && (newer > 0n || (older ?? 0n) === 0n) ? newer : rest === null ? null : (olderReads.find((each) => each === rest) ?? null);
    const wrong = (code: Wrong['code'], name: FigureName): { readonly ok: false; readonly wrong: Wrong } => ({ ok: false, wrong: { code, element: elementOfFigure(name, side) } });
    if (notes === null && older !== null && older > 0n && rest === null) return wrong('unit-not-proved', 'notesInOlder');
    if (rest !== null && (notes ?? 0n) !== rest) return wrong('does-not-add-up', 'cashIn');
    if (newer !== null && newer > 0n && older !== null && older > 0n && !olderReads.includes(newer)) return wrong('does-not-add-up', 'notesInOlder');
    proved[side] = notes ?? (older === 0n || rest === 0n ? 0n : null);
  }
  return { ok: true, notes: { sinceReset: proved.sinceReset ?? null, sinceSetUp: proved.sinceSetUp ?? null } };
}

/** What does not add up within one transmission. */
export function wrongSums(figures: Figures): Wrong | null {
  for (const { name } of figurePlaces) {
    const figure = figures.get(name);
    if (figure === undefined || figure.sinceReset === null || figure.sinceSetUp === null) continue;
    if (figure.sinceReset > figure.sinceSetUp) return { code: 'does-not-add-up', element: elementOfFigure(name, 'sinceReset') };
  }
  for (const side of sides) {
    const sales = figures.get('sales')?.[side] ?? null;
    const paid = (['cashSales', 'cardSales', 'secondCardSales', 'tokenSales'] as const).reduce((sum, name) => sum + (figures.get(name)?.[side] ?? 0n), 0n);
    if (sales !== null && paid > sales) return { code: 'does-not-add-up', element: elementOfFigure('sales', side) };
  }
  return null;
}

/**
 * What does not fit a transmission of the same machine before. Of a figure that grew since its set-up, the part since the
 * reset grew by as much, or the machine was reset in between and the part is within the growth. A figure that fell was set
 * up anew, which is for whoever looks at its readings.
 */
export function wrongSequence(before: Figures, after: Figures): Wrong | null {
  for (const { name } of figurePlaces) {
    const [from, to] = [known(before.get(name)), known(after.get(name))];
    if (from === null || to === null || to.sinceSetUp < from.sinceSetUp) continue;
    const growth = to.sinceSetUp - from.sinceSetUp;
    if (to.sinceReset - from.sinceReset !== growth && to.sinceReset > growth) return { code: 'does-not-add-up', element: elementOfFigure(name, 'sinceReset') };
  }
  return null;
}

function known(figure: Figure | undefined): { readonly sinceReset: bigint; readonly sinceSetUp: bigint } | null {
  if (figure === undefined || figure.sinceReset === null || figure.sinceSetUp === null) return null;
  return { sinceReset: figure.sinceReset, sinceSetUp: figure.sinceSetUp };
}
