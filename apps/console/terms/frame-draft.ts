import type { TermsDocument } from '#contracts/terms';
import { isLocalDate } from '#domain/calendar/local-date';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import { decimal } from '#domain/money/decimal';
import { readTypedAmount } from '../format/typed-amount';
import { asTyped, readTypedPercent } from '../format/typed-percent';
import type { Unfinished } from './read-draft';

/** When money counts and goes to a party, as somebody is typing it: what terms say beside how much each party has. */
export interface FrameDraft {
  readonly arrangement: TermsDocument['arrangement'];
  readonly cycle: TermsDocument['cycle']['kind'];
  readonly anchor: string;
  readonly weekday: string;
  readonly cashless: TermsDocument['cashless'];
  readonly advances: TermsDocument['advances']['kind'];
  /** An amount or a percentage, as `advances` says. */
  readonly advancesFigure: string;
  readonly smallest: string;
  readonly negative: TermsDocument['payout']['negative'];
  /** Empty where payment is to the smallest unit. */
  readonly smallestCoin: string;
}

export type Frame = Pick<TermsDocument, 'arrangement' | 'cycle' | 'cashless' | 'advances' | 'payout'>;

export function frameDraftOf({ arrangement, cycle, cashless, advances, payout }: Frame, locale: string): FrameDraft {
  const typed = (text: string): string => asTyped({ text, locale });
  return {
    arrangement, cashless,
    cycle: cycle.kind,
    anchor: cycle.kind === 'four-weeks' ? cycle.anchor : '',
    weekday: cycle.kind === 'week' ? String(cycle.startsOnWeekday) : '1',
    advances: advances.kind,
    advancesFigure: advances.kind === 'none' ? '' : typed(advances.kind === 'fixed' ? advances.amount : advances.percent),
    smallest: typed(payout.smallest),
    negative: payout.negative,
    smallestCoin: payout.smallestCoin === null ? '' : typed(payout.smallestCoin),
  };
}

export type ReadFrame = { readonly frame: Frame; readonly unfinished: readonly [] } | { readonly frame: null; readonly unfinished: readonly Unfinished[] };

/** The typed members as the api takes them, or what has to be finished first. */
export function readFrame({ draft, currency, locale }: { readonly draft: FrameDraft; readonly currency: CurrencyCode; readonly locale: string }): ReadFrame {
  const unfinished: Unfinished[] = [];
  const amount = (text: string, place: string, zero = false): string => {
    const read = readTypedAmount({ text, currency, locale, zero });
    if (read === null) unfinished.push({ place, code: 'amount' });
    return read?.amount ?? formatMinor(0n, currency);
  };
  const percent = (text: string, place: string) => {
    const read = readTypedPercent({ text, locale });
    if (read === null) unfinished.push({ place, code: 'percent' });
    return read ?? decimal('0');
  };
  const { arrangement, cashless, negative } = draft;
  const frame: Frame = {
    arrangement,
    cycle: readCycle(draft, unfinished),
    // Between visits there is no period that card takings of a day could belong to.
    cashless: draft.cycle === 'visit' ? 'by-collection' : cashless,
    advances:
      draft.advances === 'none'
        ? { kind: 'none' }
        : draft.advances === 'fixed'
          ? { kind: 'fixed', amount: amount(draft.advancesFigure, 'advances-amount') }
          : { kind: 'percentage', percent: percent(draft.advancesFigure, 'advances-percent') },
    payout: { smallest: amount(draft.smallest, 'payout-smallest', true), negative, smallestCoin: draft.smallestCoin.trim() === '' ? null : amount(draft.smallestCoin, 'payout-smallestCoin') },
  };
  return unfinished.length === 0 ? { frame, unfinished: [] } : { frame: null, unfinished };
}

function readCycle({ cycle, anchor, weekday }: FrameDraft, unfinished: Unfinished[]): Frame['cycle'] {
  switch (cycle) {
    case 'week':
      return { kind: 'week', startsOnWeekday: Number(weekday) };
    case 'four-weeks':
      if (isLocalDate(anchor)) return { kind: 'four-weeks', anchor };
      unfinished.push({ place: 'cycle-anchor', code: 'day' });
      return { kind: 'month' };
    default:
      return { kind: cycle };
  }
}
