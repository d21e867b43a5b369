/**
 * Step 8: what each payee gets. The share and whatever else is owed to the payee, less what the payee had already,
 * less what goes against its advances.
 */
import { oneHundred, toBillionths } from '#domain/money/decimal';
import { rational } from '#domain/money/rational';
import { divideHalfUp } from '#domain/money/rounding';
import type { AdvanceRecoup, PartyId, Terms, TermsParty } from '#domain/terms/types';
import { linesRef, writeLine, type LineSink, type Reason } from '#domain/settlement/line-sink';
import type { Line, LineAbout, LineKind } from '#domain/settlement/lines';
import type { AdvanceRepayment, CashPayment, Payable, SettlementInputs } from '#domain/settlement/types';

export interface PayoutRequest {
  readonly inputs: SettlementInputs;
  /** In force on the last day of the settlement's own period. */
  readonly terms: Terms;
  readonly versionId: string;
  readonly payees: readonly TermsParty[];
  /** Of all periods in this settlement. */
  readonly lines: readonly Line[];
}

export function payOut(sink: LineSink, request: PayoutRequest): Payable[] {
  const byParty = new Map<PartyId, Line[]>();
  for (const line of request.lines) {
    if (line.about.party === undefined) continue;
    const own = byParty.get(line.about.party);
    if (own === undefined) byParty.set(line.about.party, [line]);
    else own.push(line);
  }
  return request.payees.map(({ id }) => payableOf(sink, request, id, byParty.get(id) ?? []));
}

function payableOf(sink: LineSink, request: PayoutRequest, party: PartyId, own: readonly Line[]): Payable {
  const part = partWriter(sink, party);
  const sharesMinor = part('payee-share', own, ['share', 'guarantee'], 1n);
  const chargesMinor = part('payee-charge', own, ['charge'], 1n);
  const refundsPaidMinor = part('payee-refund', own, ['refund'], 1n);
  const taxFiledMinor = part(
    'payee-tax',
    own.filter((line) => line.about.filedBy === 'site'),
    ['tax', 'operator-tax'],
    1n,
  );
  const breakInsMinor = part('payee-break-in', own, ['break-in'], -1n);
  const handedCashMinor = handedCash(sink, request, party);
  const advances = repayAdvances(sink, request, party, sharesMinor);
  const advancesRepaidMinor = advances.reduce((sum, { repaidMinor }) => sum + repaidMinor, 0n);
  const carriedInMinor = carriedIn(sink, request, party);
  const amountMinor =
    sharesMinor + chargesMinor + refundsPaidMinor + taxFiledMinor + breakInsMinor - handedCashMinor - advancesRepaidMinor + carriedInMinor;
  const outcome = outcomeOf(request, amountMinor);
  const keys = sink.lines.filter((line) => line.about.party === party).map((line) => line.key);
  writeLine(sink, { key: `payable/${party}`, step: 'payout', kind: 'payable', about: { party }, amountMinor }, () => ({
    formula: 'sum-of-lines',
    inputs: linesRef(keys),
    rule: { of: 'terms', versionId: request.versionId, pointer: '/payout' },
  }));
  return {
    party,
    sharesMinor,
    chargesMinor,
    refundsPaidMinor,
    taxFiledMinor,
    breakInsMinor,
    handedCashMinor,
    advancesRepaidMinor,
    carriedInMinor,
    amountMinor,
    outcome,
    advances,
    cashPayment: outcome === 'due' ? cashPaymentOf(request.terms, amountMinor) : null,
  };
}

/** Sums the party's lines of some kinds into one line of the payout. */
function partWriter(sink: LineSink, party: PartyId) {
  return (kind: LineKind, own: readonly Line[], kinds: readonly LineKind[], sign: 1n | -1n): bigint => {
    const lines = own.filter((line) => kinds.includes(line.kind));
    const amountMinor = lines.reduce((sum, line) => sum + line.amountMinor, 0n) * sign;
    if (lines.length > 0) {
      writeLine(sink, { key: `${kind}/${party}`, step: 'payout', kind, about: { party }, amountMinor }, () => ({
        formula: 'sum-of-lines',
        inputs: linesRef(lines.map((line) => line.key)),
      }));
    }
    return amountMinor;
  };
}

function handedCash(sink: LineSink, { inputs }: PayoutRequest, party: PartyId): bigint {
  let total = 0n;
  for (const item of [...inputs.handedCash].filter((candidate) => candidate.party === party).sort(byId)) {
    total += item.amountMinor;
    writePart(sink, 'payee-handed-cash', { party, handedCashId: item.id }, { id: item.id, amountMinor: -item.amountMinor }, () => ({
      formula: 'handed-at-collection',
      inputs: [{ of: 'handed-cash', id: item.id }],
    }));
  }
  return total;
}

function carriedIn(sink: LineSink, { inputs }: PayoutRequest, party: PartyId): bigint {
  let total = 0n;
  for (const item of [...inputs.carriedItems].filter((candidate) => candidate.party === party).sort(byId)) {
    total += item.amountMinor;
    writePart(sink, 'payee-carried-in', { party, carriedItemId: item.id }, item, () => ({
      formula: 'carried-from-before',
      inputs: [{ of: 'carried-item', id: item.id }],
    }));
  }
  return total;
}

/** min(open balance, fixed amount or percentage of the share, the share if it is positive), one advance after the other. */
function repayAdvances(sink: LineSink, { inputs, terms, versionId }: PayoutRequest, party: PartyId, sharesMinor: bigint): AdvanceRepayment[] {
  let shareLeftMinor = sharesMinor > 0n ? sharesMinor : 0n;
  let askedLeftMinor = askedOf(terms.advances, shareLeftMinor);
  const repayments: AdvanceRepayment[] = [];
  for (const advance of inputs.advances) {
    if (advance.party !== party) continue;
    const repaidMinor = smallest(advance.openMinor, askedLeftMinor, shareLeftMinor);
    shareLeftMinor -= repaidMinor;
    askedLeftMinor -= repaidMinor;
    repayments.push({ advanceId: advance.id, repaidMinor, openAfterMinor: advance.openMinor - repaidMinor });
    if (repaidMinor === 0n) continue;
    writePart(sink, 'payee-advance', { party, advanceId: advance.id }, { id: advance.id, amountMinor: -repaidMinor }, () => ({
      formula: 'advance-recouped',
      inputs: [{ of: 'advance', id: advance.id }, ...linesRef([`payee-share/${party}`])],
      rule: { of: 'terms', versionId, pointer: '/advances' },
      parameters: { openMinor: advance.openMinor.toString() },
      ...(sink.inFull && terms.advances.kind === 'percentage' && repayments.length === 1 && repaidMinor === askedOf(terms.advances, sharesMinor)
        ? { exact: rational(sharesMinor * toBillionths(terms.advances.percent), oneHundred) }
        : {}),
    }));
  }
  return repayments;
}

function askedOf(recoup: AdvanceRecoup, shareMinor: bigint): bigint {
  switch (recoup.kind) {
    case 'none':
      return 0n;
    case 'fixed':
      return recoup.amountMinor;
    case 'percentage':
      return divideHalfUp({ dividend: shareMinor * toBillionths(recoup.percent), divisor: oneHundred });
  }
}

function writePart(
  sink: LineSink,
  kind: LineKind,
  about: LineAbout,
  item: { readonly id: string; readonly amountMinor: bigint },
  reason: () => Reason,
): void {
  writeLine(sink, { key: `${kind}/${about.party ?? ''}/${item.id}`, step: 'payout', kind, about, amountMinor: item.amountMinor }, reason);
}

/** Only a regular settlement has a next one to carry to. */
function outcomeOf({ inputs, terms }: PayoutRequest, amountMinor: bigint): Payable['outcome'] {
  if (amountMinor === 0n) return 'nothing';
  const carries = inputs.kind === 'regular';
  if (amountMinor < 0n) return carries && terms.payout.negative === 'carry' ? 'carried' : 'owed';
  return carries && amountMinor < terms.payout.smallestMinor ? 'carried' : 'due';
}

/** The payment is rounded to the smallest coin, half-up; the payable is not. */
function cashPaymentOf(terms: Terms, amountMinor: bigint): CashPayment | null {
  const coin = terms.payout.smallestCoinMinor;
  if (coin === null) return null;
  const payMinor = divideHalfUp({ dividend: amountMinor, divisor: coin }) * coin;
  return { payMinor, roundingMinor: payMinor - amountMinor };
}

function smallest(...values: bigint[]): bigint {
  return values.reduce((least, value) => (value < least ? value : least));
}

function byId(first: { readonly id: string }, second: { readonly id: string }): number {
  return first.id < second.id ? -1 : first.id > second.id ? 1 : 0;
}
