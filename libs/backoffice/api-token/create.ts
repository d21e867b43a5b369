import type { CreateApiToken, CreatedApiToken } from '#contracts/api-token';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { newSecret } from '../identity/secret';
import { perform } from '../perform';
import { insertApiToken, selectApiToken } from './api-token.sql';
import { toApiToken } from './to-api-token';

/** A token that nobody renews is one that nobody remembers: a little over a year at most. */
const LONGEST_LIFE_DAYS = 400;
const DAY_MS = 24 * 60 * 60 * 1000;
/** The beginning tells secret scanners and people what this is. */
const PREFIX = 'latchledger_';

/** Makes an API token. Its secret is in this answer and nowhere else; only its hash is stored. */
export async function createApiToken(deps: Backoffice, caller: Caller, command: CreateApiToken): Promise<Outcome<CreatedApiToken>> {
  return perform<CreatedApiToken>(
    deps,
    caller,
    'api-token.create',
    async ({ tx, now }) => {
      const expiresAt = new Date(command.expiresAt);
      const lifeMs = expiresAt.getTime() - now.getTime();
      if (lifeMs <= 0) return refusedFields('invalid-command', [{ path: ['expiresAt'], code: 'in-the-past', message: 'The token would have expired already.' }]);
      if (lifeMs > LONGEST_LIFE_DAYS * DAY_MS) {
        return refusedFields('invalid-command', [{ path: ['expiresAt'], code: 'too-far-ahead', message: `A token lives ${LONGEST_LIFE_DAYS} days at most.` }]);
      }
      const id = command.id ?? deps.newId();
      const { name, role, scopes } = command;
      const secret = newSecret(PREFIX);
      const hint = secret.text.slice(0, PREFIX.length + 4);
      await insertApiToken(tx, { id, name, role, scopes, secretHash: secret.hash, hint, now, expiresAt });
      const row = await selectApiToken(tx, id);
      if (row === null) throw new Error(`token ${id} was not stored`);
      return done({ ...toApiToken(row), secret: secret.text });
    },
    {
      constraints: { api_token_pkey: { code: 'already-exists', errors: [{ in: 'body', pointer: '#/id', code: 'taken', message: 'There is a token with this id.' }] } },
      withoutSecrets: (token) => ({ ...token, secret: null }),
    },
  );
}
