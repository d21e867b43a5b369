/** In what tender a meter counts, and whether it adds or takes away. */
import type { CashTender, MeterTender } from './meter';

/** The part that a meter has in a tender of its board. */
export type Part = { readonly tender: CashTender; readonly sign: 1n | -1n };

/** What says where a meter counts. */
export type MeterKind = { readonly tender: MeterTender; readonly secondOf: string | null };

/**
 * Where a meter counts; null for a witness. A second counter is one always. Plays stand for coins and notes together on a board
 * that counts no cash itself, and are a witness beside one that does. Test plays and what is paid back are coins, unless the board
 * takes none or does not know them.
 */
export function partOf({ tender, secondOf }: MeterKind, board: { readonly meters: readonly MeterKind[] }): Part | null {
  if (secondOf !== null) return null;
  const counts = (kind: MeterTender) => board.meters.some((meter) => meter.tender === kind);
  switch (tender) {
    case 'coin':
    case 'note':
      return { tender, sign: 1n };
    case 'plays':
      return counts('coin') || counts('note') ? null : { tender: 'cash', sign: 1n };
    case 'test-plays':
    case 'refunds':
      return { tender: counts('coin') ? 'coin' : counts('note') ? 'note' : 'cash', sign: -1n };
  }
}
