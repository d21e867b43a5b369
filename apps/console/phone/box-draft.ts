import { USUAL_SLACK_PERCENT } from '#domain/counting/pieces';
import { valueTally, type CashIssue, type TallyEntry } from '#domain/counting/tally';
import { isCurrencyCode } from '#domain/money/currency';
import { unitsOf } from '../format/money';
import { readTypedAmount, readTypedGrams } from '../format/typed-amount';
import type { CoinSet, Visit } from '../generated';

type CountEntry = NonNullable<Visit['counts']>[number];

export const ways = ['amounts', 'pieces', 'weight'] as const;
export type Way = (typeof ways)[number];

/** What is typed of one box, as text: nothing of it is lost while it makes no sense yet. */
export interface BoxDraft {
  readonly way: Way;
  readonly coin: string;
  readonly note: string;
  /** Pieces by denomination. */
  readonly pieces: Readonly<Record<string, string>>;
  /** Grams by denomination, or by what {@link mixesOf} calls coins that lie unsorted. */
  readonly grams: Readonly<Record<string, string>>;
  /** Pieces by token of the terms. */
  readonly tokens: Readonly<Record<string, string>>;
  readonly houseCoin: string;
  readonly badCoin: string;
  /** What the meters imply, of a machine whose meters nobody records. */
  readonly metered: string;
}

export const emptyBox: BoxDraft = { way: 'amounts', coin: '', note: '', pieces: {}, grams: {}, tokens: {}, houseCoin: '', badCoin: '', metered: '' };

export interface BoxPlace {
  readonly currency: string;
  readonly coinSet: CoinSet | null;
  readonly locale: string;
}

type Reason = 'amount' | 'pieces' | 'grams' | 'weigh-again' | 'metered-missing';
export interface BoxError {
  /** The end of the id of its control, behind that of the machine. */
  readonly field: string;
  readonly reason: Reason;
}

/** Something typed that the way now chosen does not send; `lost` is what stands there, as typed. */
export interface BoxLeft {
  readonly field: string;
  readonly reason: 'amounts-left' | 'pieces-left' | 'weights-left';
  readonly lost: readonly string[];
}

type Found<Value> = { readonly value: Value; readonly errors: readonly BoxError[] };
type Amount = { amount: string; currency: string };
type Issue = CoinSet['issues'][number];

/** Everything about a box but which machine it is; null where nothing was said about it. */
export type BoxCount = Omit<CountEntry, 'machineTag' | 'placementId'>;

export function isWeighable({ tender, pieceGrams }: Issue): boolean {
  return tender === 'coin' && pieceGrams !== null;
}

const MIXED = 'mixed_';

/** Coins that weigh the same for the same value, as dimes, quarters and half dollars do: unsorted they can be valued together. */
export function mixesOf(coinSet: CoinSet): readonly { readonly id: string; readonly issues: readonly Issue[] }[] {
  const groups = new Map<string, Issue[]>();
  for (const issue of coinSet.issues.filter(isWeighable)) {
    const [milligrams, face] = [milligramsOf(issue.pieceGrams ?? '0'), unitsOf(issue.face)];
    const same = [...groups.values()].find(([first]) => first !== undefined && milligramsOf(first.pieceGrams ?? '0') * face === milligrams * unitsOf(first.face));
    if (same === undefined) groups.set(issue.id, [issue]);
    else same.push(issue);
  }
  return [...groups.values()].filter((issues) => issues.length > 1).map((issues) => ({ id: `${MIXED}${issues.map(({ id }) => id).join('_')}`, issues }));
}

/** Whether anything at all is typed about the box. */
export function isTouched(box: BoxDraft): boolean {
  return filled([box.coin, box.note, box.houseCoin, box.badCoin, ...Object.values(box.pieces), ...Object.values(box.grams), ...Object.values(box.tokens)]).length > 0;
}

export function countOfBox(box: BoxDraft, place: BoxPlace): Found<BoxCount | null> {
  if (!isTouched(box)) return { value: null, errors: [] };
  const house = amountOf(box.houseCoin, 'house', place);
  const bad = amountOf(box.badCoin, 'bad', place);
  const tokens = tokensOf(box);
  const beside = {
    ...(tokens.value.length === 0 ? {} : { tokens: [...tokens.value] }),
    ...(box.houseCoin.trim() === '' ? {} : { houseCoin: house.value }),
    ...(box.badCoin.trim() === '' ? {} : { badCoin: bad.value }),
  };
  const cash = box.way === 'amounts' ? amountsOf(box, place) : talliedOf(box, place);
  return { value: { ...cash.value, ...beside }, errors: [...cash.errors, ...house.errors, ...bad.errors, ...tokens.errors] };
}

function amountsOf(box: BoxDraft, place: BoxPlace): Found<BoxCount> {
  const [coin, note] = [amountOf(box.coin, 'coin', place), amountOf(box.note, 'note', place)];
  return { value: { coin: coin.value, note: note.value }, errors: [...coin.errors, ...note.errors] };
}

/** The end of the id of the control in which a line of a tally is typed. */
export function fieldOfTally({ issueId, mixedIssueIds, grams }: NonNullable<CountEntry['tally']>[number]): string {
  const id = mixedIssueIds === undefined ? (issueId ?? '') : `${MIXED}${mixedIssueIds.join('_')}`;
  return grams === undefined ? id : `${id}-grams`;
}

type Line = { readonly field: string; readonly sent: NonNullable<CountEntry['tally']>[number]; readonly valued: TallyEntry };

function talliedOf(box: BoxDraft, place: BoxPlace): Found<BoxCount> {
  const { lines, errors } = linesOf(box, place);
  if (lines.length === 0) return { value: { coin: zero(place), note: zero(place) }, errors };
  const valued = valueLines(lines, place);
  const again = valued === null || valued.ok ? [] : valued.refusals.filter(({ kind }) => kind === 'weigh-again').map(({ index }): BoxError => ({ field: lines[index]?.field ?? '', reason: 'weigh-again' }));
  return { value: { tally: lines.map(({ sent }) => sent) }, errors: [...errors, ...again] };
}

/** What the pieces and weights come to so far, coins and notes together; null where something is still wrong with them. */
export function worthOf(box: BoxDraft, place: BoxPlace): bigint | null {
  if (box.way === 'amounts') return null;
  const { lines, errors } = linesOf(box, place);
  const valued = errors.length > 0 || lines.length === 0 ? null : valueLines(lines, place);
  return valued?.ok === true ? valued.tally.coinMinor + valued.tally.noteMinor : null;
}

/** Fields of weights that lie between two numbers of pieces. */
export function toWeighAgain(box: BoxDraft, place: BoxPlace): readonly string[] {
  const { lines } = linesOf(box, place);
  const valued = box.way === 'weight' ? valueLines(lines, place) : null;
  return valued === null || valued.ok ? [] : valued.refusals.filter(({ kind }) => kind === 'weigh-again').flatMap(({ index }) => lines[index]?.field ?? []);
}

function valueLines(lines: readonly Line[], { coinSet, currency }: BoxPlace): ReturnType<typeof valueTally> | null {
  if (coinSet === null || !isCurrencyCode(currency)) return null;
  const issues = coinSet.issues.map(({ id, name, tender, face, pieceGrams }): CashIssue => ({ id, name, currency, tender, faceMinor: unitsOf(face), pieceMilligrams: pieceGrams === null ? null : milligramsOf(pieceGrams), toleranceParts: null }));
  // A phone may have kept coins from before it was told how near a weight must come.
  const { weighWithinPercent: slackPercent = USUAL_SLACK_PERCENT } = coinSet as Partial<CoinSet>;
  return valueTally(lines.map(({ valued }) => valued), { issues, slackPercent });
}

/** What is counted in the way that is chosen: notes, and coins that nobody weighs, in pieces either way. */
function linesOf(box: BoxDraft, place: BoxPlace): { readonly lines: readonly Line[]; readonly errors: readonly BoxError[] } {
  const { coinSet, locale } = place;
  const errors: BoxError[] = [];
  // By what is typed and not by the coins that are known: a page may have been opened without them.
  const pieces = Object.entries(box.pieces).flatMap(([id, typed]): Line[] => {
    const text = typed.trim();
    if (text === '' || isHidden(box, id, coinSet)) return [];
    if (/^\d{1,6}$/.test(text)) return [{ field: id, sent: { issueId: id, pieces: Number(text) }, valued: { issueId: id, pieces: BigInt(text) } }];
    errors.push({ field: id, reason: 'pieces' });
    return [];
  });
  const weighed = Object.entries(box.way === 'weight' ? box.grams : {}).flatMap(([id, typed]): Line[] => {
    const text = typed.trim();
    if (text === '') return [];
    const read = readTypedGrams({ text, locale });
    const mixedIssueIds = id.startsWith(MIXED) ? id.slice(MIXED.length).split('_') : null;
    const named = mixedIssueIds === null ? { issueId: id } : { mixedIssueIds };
    if (read !== null) return [{ field: `${id}-grams`, sent: { ...named, grams: read }, valued: { ...named, weightMilligrams: milligramsOf(read) } }];
    errors.push({ field: `${id}-grams`, reason: 'grams' });
    return [];
  });
  return { lines: [...pieces, ...weighed], errors };
}

/** Figures out of sight, typed before another way was chosen: dropped in silence they would be missing from the books. */
export function leftInBox(box: BoxDraft, { coinSet }: Pick<BoxPlace, 'coinSet'>): readonly BoxLeft[] {
  const left = (reason: BoxLeft['reason'], lost: readonly string[]): BoxLeft[] => (lost.length === 0 ? [] : [{ field: 'way', reason, lost }]);
  return [
    ...(box.way === 'amounts' ? [] : left('amounts-left', filled([box.coin, box.note]))),
    ...left('pieces-left', namedFigures(box.pieces, coinSet, (id) => isHidden(box, id, coinSet))),
    ...(box.way === 'weight' ? [] : left('weights-left', namedFigures(box.grams, coinSet, () => true))),
  ];
}

/** Whether pieces that are typed stand where the way now chosen shows none. */
function isHidden({ way }: BoxDraft, issueId: string, coinSet: CoinSet | null): boolean {
  const issue = coinSet?.issues.find(({ id }) => id === issueId);
  return way === 'amounts' || (way === 'weight' && issue !== undefined && isWeighable(issue));
}

/** Every figure of the count, for a box that goes to the counting room after all. */
export function figuresIn(box: BoxDraft, coinSet: CoinSet | null): readonly string[] {
  const all = () => true;
  return [...filled([box.coin, box.note]), ...namedFigures(box.pieces, coinSet, all), ...namedFigures(box.grams, coinSet, all), ...namedFigures(box.tokens, null, all), ...filled([box.houseCoin, box.badCoin])];
}

function namedFigures(figures: Readonly<Record<string, string>>, coinSet: CoinSet | null, wanted: (id: string) => boolean): readonly string[] {
  return Object.entries(figures).flatMap(([id, text]) => (wanted(id) ? filled([text]).map((typed) => `${coinSet?.issues.find((issue) => issue.id === id)?.name ?? id}: ${typed}`) : []));
}

/** The amount that the meters of a machine imply, where it has to be typed. */
export function meteredOf({ metered }: BoxDraft, place: BoxPlace): Found<Amount | null> {
  if (metered.trim() === '') return { value: null, errors: [{ field: 'metered', reason: 'metered-missing' }] };
  return amountOf(metered, 'metered', place);
}

function tokensOf({ tokens }: BoxDraft): Found<readonly { tokenId: string; pieces: number }[]> {
  const entered = Object.entries(tokens).map(([tokenId, text]) => ({ tokenId, text: text.trim() })).filter(({ text }) => text !== '');
  const wrong = entered.filter(({ text }) => !/^\d{1,6}$/.test(text)).map(({ tokenId }): BoxError => ({ field: `token-${tokenId}`, reason: 'pieces' }));
  return { value: entered.map(({ tokenId, text }) => ({ tokenId, pieces: Number(text) })).filter(({ pieces }) => pieces > 0), errors: wrong };
}

/** Nothing typed is nothing there. */
export function amountOf(text: string, field: string, place: BoxPlace): Found<Amount> {
  const { currency, locale } = place;
  if (text.trim() === '') return { value: zero(place), errors: [] };
  const amount = readTypedAmount({ text, currency, locale, zero: true });
  return amount === null ? { value: zero(place), errors: [{ field, reason: 'amount' }] } : { value: { ...amount }, errors: [] };
}

export function zero({ currency, locale }: Pick<BoxPlace, 'currency' | 'locale'>): Amount {
  return { ...(readTypedAmount({ text: '0', currency, locale, zero: true }) ?? { amount: '0', currency }) };
}

export function filled(texts: readonly string[]): readonly string[] {
  return texts.map((text) => text.trim()).filter((text) => text !== '');
}

/** `1134.25` as 1134250. */
export function milligramsOf(grams: string): bigint {
  const [whole = '0', fraction = ''] = grams.split('.');
  return BigInt(whole) * 1_000n + BigInt(fraction.padEnd(3, '0'));
}
