/**
 * The count of keys: made + duplicated - destroyed = in stores + with holders + missing, per cut and in total, and
 * everything that does not fit named. 25 CFR 543.24(d)(8)(iv): keys are counted each quarter and reconciled to those made,
 * issued and destroyed.
 */
import { sameHolder, type Holder, type Whereabouts } from './custody';

/** What the events of custody say of a cut. */
export type CutEvents = { readonly codeId: string; readonly made: number; readonly duplicated: number; readonly destroyed: number };

/** A copy as the books have it when the count is closed, and as it was counted. */
export type InventoriedCopy = {
  readonly copyId: string;
  readonly codeId: string;
  readonly booked: Whereabouts;
  /** Whether this count asks for it; a copy that was made meanwhile, or lies elsewhere, stands as the books have it. */
  readonly asked: boolean;
  /** Where it was seen or attested, and where the books had it just before; `null` where nobody saw it. */
  readonly counted: { readonly at: Holder; readonly expected: Whereabouts } | null;
};

/** A key that turned up and is in no books. */
export type SurplusKey = { readonly codeId: string | null; readonly note: string };

export type InventoryLine = CutEvents & {
  readonly inStores: number;
  readonly withHolders: number;
  readonly missing: number;
  /** What the equation lacks; below zero where there are more keys than were made. */
  readonly unaccounted: number;
};

export type Discrepancy =
  | { readonly kind: 'not-seen' | 'seen-elsewhere' | 'was-missing'; readonly codeId: string; readonly copyId: string }
  | { readonly kind: 'books-disagree'; readonly codeId: string }
  | { readonly kind: 'surplus'; readonly codeId: string | null; readonly note: string };

export type Inventory = { readonly lines: readonly InventoryLine[]; readonly total: Omit<InventoryLine, 'codeId'>; readonly discrepancies: readonly Discrepancy[] };

/** The equation of each cut, in the order given, the sum of them, and what does not fit. */
export function reconcile(input: { readonly cuts: readonly CutEvents[]; readonly copies: readonly InventoriedCopy[]; readonly surplus: readonly SurplusKey[] }): Inventory {
  const lines = input.cuts.map((cut) => lineOf(cut, input.copies.filter(({ codeId }) => codeId === cut.codeId)));
  return {
    lines,
    total: {
      made: sum(lines, 'made'),
      duplicated: sum(lines, 'duplicated'),
      destroyed: sum(lines, 'destroyed'),
      inStores: sum(lines, 'inStores'),
      withHolders: sum(lines, 'withHolders'),
      missing: sum(lines, 'missing'),
      unaccounted: sum(lines, 'unaccounted'),
    },
    discrepancies: [
      ...input.copies.flatMap(discrepancyOf),
      ...lines.flatMap((line): Discrepancy[] => {
        // Copies that nobody saw explain what is lacking; anything beyond them is an error of the books themselves.
        const unseen = input.copies.filter((copy) => copy.codeId === line.codeId && isUnseen(copy)).length;
        return line.unaccounted === unseen ? [] : [{ kind: 'books-disagree', codeId: line.codeId }];
      }),
      ...input.surplus.map(({ codeId, note }): Discrepancy => ({ kind: 'surplus', codeId, note })),
    ],
  };
}

function lineOf(cut: CutEvents, copies: readonly InventoriedCopy[]): InventoryLine {
  let [inStores, withHolders, missing] = [0, 0, 0];
  for (const copy of copies) {
    if (copy.booked.state === 'missing') missing += 1;
    if (copy.booked.state !== 'held' || isUnseen(copy)) continue;
    if (copy.booked.holder.kind === 'store') inStores += 1;
    else withHolders += 1;
  }
  const { codeId, made, duplicated, destroyed } = cut;
  return { codeId, made, duplicated, destroyed, inStores, withHolders, missing, unaccounted: made + duplicated - destroyed - inStores - withHolders - missing };
}

function isUnseen({ asked, booked, counted }: InventoriedCopy): boolean {
  return asked && booked.state === 'held' && counted === null;
}

function discrepancyOf(copy: InventoriedCopy): Discrepancy[] {
  const { copyId, codeId, counted } = copy;
  if (isUnseen(copy)) return [{ kind: 'not-seen', codeId, copyId }];
  if (counted === null) return [];
  if (counted.expected.state !== 'held') return [{ kind: 'was-missing', codeId, copyId }];
  return sameHolder(counted.expected.holder, counted.at) ? [] : [{ kind: 'seen-elsewhere', codeId, copyId }];
}

function sum(lines: readonly InventoryLine[], column: Exclude<keyof InventoryLine, 'codeId'>): number {
  return lines.reduce((total, line) => total + line[column], 0);
}
