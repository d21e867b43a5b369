/**
 * What was paid to a payee in a year, by what it was paid for. A payee has income when it is paid, not when it is settled:
 * cash that it kept or was handed counts on the day it got it, what was set off against an advance or a theft on the day of
 * the settlement, a transfer on the day the bank paid. So the money that a payee got at a site, by date, is laid along what
 * settlements owed it, by date, and each piece of money counts as paid for what it lies beside.
 *
 * Of one settlement the refunds that the payee laid out and the tax that it passes on count as paid first: they are no income.
 * A share below zero is made up by what is owed next. Money that the payee paid back and that makes up for no such share was never
 * its income: it is taken out of the money that it got up to that day, the latest first.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { Arrangement } from '#domain/terms/types';

/** What a settlement owed the payee; minor units of one currency, in the order of the books. */
export interface Owed {
  readonly arrangement: Arrangement;
  /** Share and charges in the payee's favour. */
  readonly incomeMinor: bigint;
  /** Refunds that it laid out, tax that it files itself. */
  readonly passedOnMinor: bigint;
}

/** Money that the payee got, or, below zero, paid back. */
export interface Received {
  readonly on: LocalDate;
  readonly amountMinor: bigint;
}

export interface PaidInYear {
  /** For letting a machine or a place: rents (IRS, Cash Intensive Businesses guide, chapter 13). */
  readonly rentsMinor: bigint;
  /** The share of a partner, which the return of the partnership reports (Rev. Rul. 92-49). */
  readonly partnershipMinor: bigint;
  readonly passedOnMinor: bigint;
  /** Paid, and not settled yet: what it was for, a later settlement says. */
  readonly notSettledMinor: bigint;
}

type Kind = 'rents' | 'partnership' | 'passed-on';
type Segment = { readonly kind: Kind; leftMinor: bigint };

export function paidInYear(account: { readonly owed: readonly Owed[]; readonly received: readonly Received[] }, year: number): PaidInYear {
  const { segments, paidBack } = segmentsOf(account);
  const paid = { rents: 0n, partnership: 0n, 'passed-on': 0n };
  let [notSettledMinor, firstOpen] = [0n, 0];
  for (const { on, amountMinor } of keptOf(account.received, paidBack)) {
    const counts = Number(on.slice(0, 4)) === year;
    let leftMinor = amountMinor;
    for (let segment = segments[firstOpen]; segment !== undefined && leftMinor > 0n; segment = segments[firstOpen]) {
      const takenMinor = segment.leftMinor < leftMinor ? segment.leftMinor : leftMinor;
      segment.leftMinor -= takenMinor;
      leftMinor -= takenMinor;
      if (counts) paid[segment.kind] += takenMinor;
      if (segment.leftMinor === 0n) firstOpen += 1;
    }
    if (counts) notSettledMinor += leftMinor;
  }
  return { rentsMinor: paid.rents, partnershipMinor: paid.partnership, passedOnMinor: paid['passed-on'], notSettledMinor };
}

/** What the payee got and did not pay back, by date. */
function keptOf(received: readonly Received[], paidBack: readonly Received[]): readonly Received[] {
  const kept = received.filter(({ amountMinor }) => amountMinor > 0n).sort(byDate).map(({ on, amountMinor }) => ({ on, amountMinor }));
  for (const { on, amountMinor } of paidBack) {
    let leftMinor = amountMinor;
    for (const receipt of kept.filter((earlier) => earlier.on <= on).reverse()) {
      const takenMinor = receipt.amountMinor < leftMinor ? receipt.amountMinor : leftMinor;
      receipt.amountMinor -= takenMinor;
      leftMinor -= takenMinor;
    }
  }
  return kept;
}

function byDate(left: Received, right: Received): number {
  return left.on < right.on ? -1 : left.on > right.on ? 1 : 0;
}

/** What is above zero, after what lies below zero was made up by it. Money paid back makes up for it first, the earliest first; what is left of it, above zero, is handed back. */
function segmentsOf({ owed, received }: { readonly owed: readonly Owed[]; readonly received: readonly Received[] }): { readonly segments: Segment[]; readonly paidBack: readonly Received[] } {
  let debtMinor = 0n;
  const paidBack = received.filter(({ amountMinor }) => amountMinor < 0n).sort(byDate).map(({ on, amountMinor }) => ({ on, amountMinor: -amountMinor }));
  const segments = owed
    .flatMap(({ arrangement, incomeMinor, passedOnMinor }): { kind: Kind; amountMinor: bigint }[] => [
      { kind: 'passed-on', amountMinor: passedOnMinor },
      { kind: arrangement === 'joint-venture' ? 'partnership' : 'rents', amountMinor: incomeMinor },
    ])
    .flatMap(({ kind, amountMinor }): Segment[] => {
      if (amountMinor < 0n) {
        let leftMinor = -amountMinor;
        for (const back of paidBack) {
          const madeUpMinor = back.amountMinor < leftMinor ? back.amountMinor : leftMinor;
          back.amountMinor -= madeUpMinor;
          leftMinor -= madeUpMinor;
        }
        debtMinor += leftMinor;
        return [];
      }
      const madeUpMinor = amountMinor < debtMinor ? amountMinor : debtMinor;
      debtMinor -= madeUpMinor;
      return amountMinor === madeUpMinor ? [] : [{ kind, leftMinor: amountMinor - madeUpMinor }];
    });
  return { segments, paidBack };
}
