import { toAmount, type Money } from '#contracts/money';
import type { WrongField } from '#contracts/outcome';
import { wrongCoinPart } from './check-entries';
import type { CollectionRow } from './collection.sql';

type Corrected = { readonly amount: Money; readonly coin?: Money | null | undefined };
type Standing = { readonly coin_minor: bigint | null };

/** How much of a corrected receipt is coins: as it was where the correction does not say, and nothing of what is taken back. */
export function coinsAfter({ amount, coin }: Corrected, standing: Standing): bigint | null {
  if (toAmount(amount).minor === 0n) return null;
  return coin === undefined ? standing.coin_minor : coin === null ? null : toAmount(coin).minor;
}

/** Coins are part of the amount, those that are kept as well. */
export function wrongCoinsAfter(command: Corrected, standing: Standing | null, row: CollectionRow): WrongField[] {
  const { amount, coin } = command;
  const wrong = wrongCoinPart({ amount, coin }, [], { currency: row.currency, siteCode: row.site_code });
  const kept = wrong.length === 0 && amount.currency === row.currency && standing !== null && coin === undefined ? coinsAfter(command, standing) : null;
  if (kept !== null && kept > toAmount(amount).minor) wrong.push({ path: ['coin'], code: 'more-than-amount', message: 'More coins were noted than the whole amount now: say how much of it was coins.' });
  return wrong;
}
