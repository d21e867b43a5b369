/** From the payee's share to what is due, step by step, for a statement. */
import type { Line, PeriodLine } from '#domain/settlement/lines';
import type { HandedCash, Payable } from '#domain/settlement/types';
import type { PartyId } from '#domain/terms/types';
import type { PayableKind, PayableLine } from '#statement/document';
import type { Mapping } from '#statement/settlement-mapping';

/**
 * The settlement's own period by kind, then each earlier period as one line, then what the payee had already. Their sum is
 * the payable.
 */
export function payableLinesOf(mapping: Mapping, payable: Payable): PayableLine[] {
  const { inputs, result, current, facts, date } = mapping;
  const { party } = payable;
  const own = current.lines.filter(({ about }) => about.party === party);
  const handed = inputs.handedCash.filter((item) => item.party === party);
  const carried = inputs.carriedItems.filter((item) => item.party === party);
  return [
    // A share stands even if it is zero: it is what everybody looks for.
    { kind: 'share', amountMinor: sumOf(own.filter(({ kind }) => kind === 'share')) },
    ...unlessNone('guarantee', own.filter(({ kind }) => kind === 'guarantee')),
    ...unlessNone('charge-in-favour', own.filter(({ kind }) => kind === 'charge')),
    ...unlessNone('refunds-paid', own.filter(({ kind }) => kind === 'refund')),
    ...unlessNone('tax-filed', own.filter(isFiledBySite)),
    ...unlessNone('break-in', own.filter(({ kind }) => kind === 'break-in'), -1n),
    ...result.periods.filter(({ kind }) => kind === 'difference').map(
      ({ lines }): PayableLine => ({ kind: 'earlier-period', amountMinor: amountForPayee(lines, party) }),
    ),
    ...handed.map((item): PayableLine => ({ kind: item.reason === 'on-account' && item.amountMinor < 0n ? 'paid-by-payee' : HANDED_KINDS[item.reason], detail: date(item.date), amountMinor: -item.amountMinor })),
    ...payable.advances.flatMap(({ repaidMinor }): PayableLine[] => (repaidMinor === 0n ? [] : [{ kind: 'advance-repaid', amountMinor: -repaidMinor }])),
    ...carried.map((item): PayableLine => {
      const detail = facts.carriedFrom.get(item.id);
      return { kind: 'brought-forward', ...(detail === undefined ? {} : { detail }), amountMinor: item.amountMinor };
    }),
  ];
}

const HANDED_KINDS: Readonly<Record<HandedCash['reason'], PayableKind>> = {
  handed: 'cash-handed',
  kept: 'cash-kept',
  'on-account': 'paid-on-account',
};

/** What lines of a period come to for one payee, before payout. */
export function amountForPayee(lines: readonly PeriodLine[], party: PartyId): bigint {
  return lines.reduce((sum, line) => {
    if (line.about.party !== party) return sum;
    if (line.kind === 'break-in') return sum - line.amountMinor;
    const counts = line.kind === 'share' || line.kind === 'guarantee' || line.kind === 'charge' || line.kind === 'refund' || isFiledBySite(line);
    return counts ? sum + line.amountMinor : sum;
  }, 0n);
}

function isFiledBySite({ kind, about }: PeriodLine): boolean {
  return (kind === 'tax' || kind === 'operator-tax') && about.filedBy === 'site';
}

function unlessNone(kind: PayableKind, lines: readonly Line[], sign: 1n | -1n = 1n): PayableLine[] {
  return lines.length === 0 ? [] : [{ kind, amountMinor: sign * sumOf(lines) }];
}

function sumOf(lines: readonly Line[]): bigint {
  return lines.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
}
