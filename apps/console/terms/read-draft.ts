import type { TermsDocument } from '#contracts/terms';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import { decimal, oneHundred, toBillionths, type Decimal } from '#domain/money/decimal';
import { readTypedAmount } from '../format/typed-amount';
import { readTypedPercent } from '../format/typed-percent';
import type { BandDraft, Changes, ChargeDraft, GuaranteeDraft, Member, ShareDraft, SplitDraft, TermsDraft, TokenDraft } from './draft';

/** What is not finished, by its place in the terms: `split-shares-0-percent`. */
export interface Unfinished {
  readonly place: string;
  readonly code: 'percent' | 'not-hundred' | 'amount' | 'title' | 'token' | 'day';
}

export type Read = { readonly changes: Changes; readonly unfinished: readonly [] } | { readonly changes: null; readonly unfinished: readonly Unfinished[] };

interface Reading {
  readonly locale: string;
  readonly currency: CurrencyCode;
  readonly unfinished: Unfinished[];
}

/** The typed members as the API takes them, or what has to be finished first. */
export function readDraft({ draft, changed, ...how }: { draft: TermsDraft; changed: readonly Member[]; locale: string; currency: CurrencyCode }): Read {
  const reading: Reading = { ...how, unfinished: [] };
  const all: { readonly [member in Member]: () => Changes } = {
    basis: () => ({ basis: draft.basis }),
    tokens: () => ({ tokens: draft.tokens.map((token, index) => readToken(token, `tokens-${index}`, reading)) }),
    grouping: () => ({ grouping: draft.grouping }),
    breakIns: () => ({ breakIns: { borneBy: draft.breakIns } }),
    tax: () => ({ tax: draft.tax }),
    charges: () => ({ charges: draft.charges.map((charge, index) => readCharge(charge, `charges-${index}`, reading)) }),
    split: () => ({ split: readSplit(draft.split, reading) }),
    loss: () => ({ loss: draft.loss }),
    guarantees: () => ({ guarantees: draft.guarantees.map((guarantee, index) => readGuarantee(guarantee, `guarantees-${index}`, reading)) }),
  };
  const changes = changed.reduce<Changes>((before, member) => ({ ...before, ...all[member]() }), {});
  return reading.unfinished.length === 0 ? { changes, unfinished: [] } : { changes: null, unfinished: reading.unfinished };
}

function readToken({ tokenId, value }: TokenDraft, place: string, reading: Reading): TermsDocument['tokens'][number] {
  if (tokenId.trim() === '') reading.unfinished.push({ place: `${place}-tokenId`, code: 'token' });
  return { tokenId: tokenId.trim(), value: readAmount(value, `${place}-value`, reading) };
}

function readSplit(split: SplitDraft, reading: Reading): TermsDocument['split'] {
  if (split.kind === 'shares') return { kind: 'shares', shares: readShares(split.shares, 'split-shares', reading) };
  const { method, scope, per, bands } = split;
  return { kind: 'bands', method, scope, per, bands: readBands(bands, reading) };
}

function readBands(bands: readonly BandDraft[], reading: Reading): { from: string; to: string | null; shares: { party: string; percent: Decimal }[] }[] {
  let from = formatMinor(0n, reading.currency);
  return bands.map((band, index) => {
    const place = `split-bands-${index}`;
    const to = index === bands.length - 1 ? null : readAmount(band.to, `${place}-to`, reading);
    const read = { from, to, shares: readShares(band.shares, `${place}-shares`, reading) };
    from = to ?? from;
    return read;
  });
}

/** A party with nothing is left out: the terms name those who have a share. */
function readShares(shares: readonly ShareDraft[], place: string, reading: Reading): { party: string; percent: Decimal }[] {
  const read = shares.map(({ party, percent }, index) => ({ party, percent: readPercent(percent, `${place}-${index}-percent`, reading) }));
  const total = read.reduce((sum, { percent }) => sum + toBillionths(percent), 0n);
  const isWhole = !reading.unfinished.some((each) => each.place.startsWith(`${place}-`));
  if (isWhole && total !== oneHundred) reading.unfinished.push({ place: `${place}-0-percent`, code: 'not-hundred' });
  return read.filter(({ percent }) => toBillionths(percent) > 0n);
}

function readCharge(charge: ChargeDraft, place: string, reading: Reading): TermsDocument['charges'][number] {
  const { id, title, to, scope, kind, figure, per, of, rest } = charge;
  if (title.trim() === '') reading.unfinished.push({ place: `${place}-title`, code: 'title' });
  const amount =
    kind === 'amount'
      ? { kind, per, amount: readAmount(figure, `${place}-amount`, reading) }
      : { kind, of, percent: readPercent(figure, `${place}-amount`, reading) };
  return { id, title: title.trim(), to, scope, amount, rest };
}

function readGuarantee(guarantee: GuaranteeDraft, place: string, reading: Reading): TermsDocument['guarantees'][number] {
  const { id, kind, party, per, scope, from, excessTo } = guarantee;
  const common = { id, party, per, scope, amount: readAmount(guarantee.amount, `${place}-amount`, reading) };
  return kind === 'at-least' ? { ...common, kind, from } : { ...common, kind, excessTo };
}

function readAmount(text: string, place: string, { locale, currency, unfinished }: Reading): string {
  const read = readTypedAmount({ text, currency, locale });
  if (read === null) unfinished.push({ place, code: 'amount' });
  return read?.amount ?? formatMinor(0n, currency);
}

function readPercent(text: string, place: string, { locale, unfinished }: Reading): Decimal {
  const read = readTypedPercent({ text, locale });
  if (read === null) unfinished.push({ place, code: 'percent' });
  return read ?? nothing;
}

const nothing = decimal('0');
