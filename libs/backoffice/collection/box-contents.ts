import type { BoxCount } from '#contracts/collection';
import { moneyOf, toAmount, type Money } from '#contracts/money';
import type { WrongField } from '#contracts/outcome';
import type { CurrencyCode } from '#domain/money/currency';
import { otherCurrency } from '../refusal';
import type { AgreementOnDay } from './directory.sql';

/** Pieces by token, as they are stored. */
export type TokenPieces = { readonly [tokenId: string]: number };

/** What lay in a box beside takings, and what its meters imply. */
export type BoxContents = {
  readonly tokens: TokenPieces;
  readonly houseCoinMinor: bigint;
  readonly badCoinMinor: bigint;
  /** Null where the meters were not read. */
  readonly meteredMinor: bigint | null;
};

export const nothingBeside: BoxContents = { tokens: {}, houseCoinMinor: 0n, badCoinMinor: 0n, meteredMinor: null };

export type EnteredContents = {
  readonly tokens?: readonly { readonly tokenId: string; readonly pieces: number }[] | undefined;
  readonly houseCoin?: Money | undefined;
  readonly badCoin?: Money | undefined;
  readonly meteredAmount?: Money | undefined;
};

/** What was entered; of what was left out, as it was before. */
export function toContents(entered: EnteredContents, before: BoxContents = nothingBeside): BoxContents {
  const minor = <Before>(money: Money | undefined, otherwise: Before): bigint | Before => (money === undefined ? otherwise : toAmount(money).minor);
  return {
    tokens: entered.tokens === undefined ? before.tokens : Object.fromEntries(entered.tokens.map(({ tokenId, pieces }) => [tokenId, pieces])),
    houseCoinMinor: minor(entered.houseCoin, before.houseCoinMinor),
    badCoinMinor: minor(entered.badCoin, before.badCoinMinor),
    meteredMinor: minor(entered.meteredAmount, before.meteredMinor),
  };
}

/** What is wrong with it under the terms in force; `path` leads to the entry. */
export function wrongContents(entered: EnteredContents, path: readonly (string | number)[], place: { siteCode: string; currency: CurrencyCode; agreement: AgreementOnDay }): WrongField[] {
  const { agreement, currency, siteCode } = place;
  const inOtherCurrency = (['houseCoin', 'badCoin', 'meteredAmount'] as const)
    .filter((field) => entered[field] !== undefined && entered[field].currency !== currency)
    .map((field) => otherCurrency([...path, field, 'currency'], `Site ${siteCode} is kept in`, currency));
  const tokens = (entered.tokens ?? []).flatMap(({ tokenId }, index, all): WrongField[] => {
    const wrong = (code: string, message: string): WrongField[] => [{ path: [...path, 'tokens', index, 'tokenId'], code, message }];
    if (all.findIndex((other) => other.tokenId === tokenId) < index) return wrong('token-twice', 'This token is listed already.');
    if (agreement.token_ids === null || agreement.token_ids.includes(tokenId)) return [];
    return wrong('unknown-token', agreement.token_ids.length === 0 ? 'The terms know no tokens.' : `The terms know no such token, but ${agreement.token_ids.join(', ')}.`);
  });
  return [...inOtherCurrency, ...tokens];
}

/** Terms that go by the meters need what these imply, with every count that is made where they are read. */
export function meteredMissing(meteredMinor: bigint | null, path: readonly (string | number)[], agreement: AgreementOnDay): WrongField[] {
  if (agreement.basis !== 'metered' || meteredMinor !== null) return [];
  return [{ path: [...path, 'meteredAmount'], code: 'metered-amount-missing', message: 'The terms go by the meters: enter the cash that they imply, or record the meters of the machine.' }];
}

/** Where meters are recorded, what they imply is not typed beside them. */
export function typedBesideMeters({ meteredAmount }: EnteredContents, path: readonly (string | number)[]): WrongField[] {
  if (meteredAmount === undefined) return [];
  return [{ path: [...path, 'meteredAmount'], code: 'meters-recorded', message: 'The meters of this machine are recorded: enter what they show, in `readings`.' }];
}

/** What the meters of a box imply is said once, and corrected where it was said. */
export function saidAlready(path: readonly (string | number)[]): WrongField {
  return { path, code: 'said-already', message: 'What the meters of this box imply is said already: correct the count or the amount that says it.' };
}

/** In the counting room nobody says what meters imply. */
export function typedByCounter({ meteredAmount }: EnteredContents, path: readonly (string | number)[]): WrongField[] {
  if (meteredAmount === undefined) return [];
  return [{ path: [...path, 'meteredAmount'], code: 'not-for-counter', message: 'Who counts does not say what the meters imply: it is entered apart from the count, by who read them.' }];
}

/** Of a box that the room counts afterwards, what its meters imply is the bag's: with the first count it would go away unsaid. */
export function typedBesideFirstCount({ meteredAmount }: EnteredContents, path: readonly (string | number)[]): WrongField[] {
  if (meteredAmount === undefined) return [];
  return [{ path: [...path, 'meteredAmount'], code: 'metered-with-bag', message: 'Of a box that the counting room counts afterwards, what the meters imply is said with its bag, or apart from the counts.' }];
}

/** As answers show it. */
export function showContents(row: ContentsRow, currency: CurrencyCode): Pick<BoxCount, 'tokens' | 'houseCoin' | 'badCoin' | 'meteredAmount'> {
  return {
    tokens: tokenList(row.tokens),
    houseCoin: moneyOf(row.house_coin_minor, currency),
    badCoin: moneyOf(row.bad_coin_minor, currency),
    meteredAmount: row.metered_minor === null ? null : moneyOf(row.metered_minor, currency),
  };
}

export type ContentsRow = { tokens: TokenPieces; house_coin_minor: bigint; bad_coin_minor: bigint; metered_minor: bigint | null };

export function contentsOf(row: ContentsRow): BoxContents {
  return { tokens: row.tokens, houseCoinMinor: row.house_coin_minor, badCoinMinor: row.bad_coin_minor, meteredMinor: row.metered_minor };
}

/** In the order of their ids, so that the same pieces are always listed alike. */
export function tokenList(tokens: TokenPieces): { tokenId: string; pieces: number }[] {
  return Object.entries(tokens)
    .map(([tokenId, pieces]) => ({ tokenId, pieces }))
    .sort((one, other) => (one.tokenId < other.tokenId ? -1 : 1));
}
