import type { ApiToken } from '#contracts/api-token';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { revokeApiToken as markRevoked, selectApiToken } from './api-token.sql';
import { toApiToken } from './to-api-token';

/** Ends a token at once. Revoking it again changes nothing. */
export async function revokeApiToken(deps: Backoffice, caller: Caller, command: { id: string }): Promise<Outcome<ApiToken>> {
  return perform(deps, caller, 'api-token.revoke', async ({ tx, now }) => {
    await markRevoked(tx, { id: command.id, now });
    const row = await selectApiToken(tx, command.id);
    return row === null ? refused('not-found') : done(toApiToken(row));
  });
}
