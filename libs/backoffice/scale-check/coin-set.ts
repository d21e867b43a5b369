import { coinSetCurrencies, coinSetsReadOn, issuesOf } from '#contracts/coin-sets/all';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { CoinSetQuery, CoinSets } from '#contracts/tally';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { policyAt } from '../policy/policy';
import { toGrams } from './weight';

/** Coins and notes as counts by denomination name them, the same for every operator, and how near to whole pieces their weights must come here. */
export function listCoinSets(deps: Backoffice, caller: Caller, query: CoinSetQuery): Promise<Outcome<CoinSets>> {
  return perform<CoinSets>(deps, caller, 'scale-check.read', async ({ tx, now }) => {
    const { weighWithinPercent } = await policyAt(tx, now);
    return done({
      items: coinSetCurrencies
        .filter((currency) => query.currency === undefined || currency === query.currency)
        .map((currency) => ({
          currency,
          readOn: coinSetsReadOn,
          weighWithinPercent,
          issues: issuesOf(currency).map(({ id, name, tender, faceMinor, pieceMilligrams, from, until, source }) => ({
            id,
            name,
            tender,
            face: moneyOf(faceMinor, currency),
            pieceGrams: pieceMilligrams === null ? null : toGrams(pieceMilligrams),
            from,
            until,
            source,
          })),
        })),
    });
  });
}
