import { formatInstant } from '#contracts/format';
import type { MachineToken, MachineTokens, MadeMachineToken, MakeMachineToken } from '#contracts/machine-report';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { newSecret } from '../identity/secret';
import { perform } from '../perform';
import { taken, unknownReference } from '../refusal';
import { insertToken, markRevoked, selectTokens, type TokenRow } from './machine-report.sql';

/** The beginning tells secret scanners and people what this is; then comes the operator, under whom the secret is looked up. */
export const TOKEN_PREFIX = 'latchledger_machine_';

/** Makes a token with which one machine reports. Its secret is in this answer and nowhere else. */
export function makeMachineToken(deps: Backoffice, caller: Caller, command: MakeMachineToken): Promise<Outcome<MadeMachineToken>> {
  const { machineId } = command;
  return perform<MadeMachineToken>(
    deps,
    caller,
    'machine-token.make',
    async ({ tx, now }) => {
      const id = command.id ?? deps.newId();
      const secret = newSecret(`${TOKEN_PREFIX}${tx.tenantId}_`);
      await insertToken(tx, { id, machineId, secretHash: secret.hash, now });
      return done({ id, machineId, secret: secret.text });
    },
    { constraints: { machine_token_pkey: taken(['id'], 'a token with this id'), machine_token_machine: unknownReference(['machineId'], 'machine') }, withoutSecrets: (token) => ({ ...token, secret: null }) },
  );
}

export function listMachineTokens(deps: Backoffice, caller: Caller): Promise<Outcome<MachineTokens>> {
  return perform<MachineTokens>(deps, caller, 'machine-token.read', async ({ tx }) => done({ items: (await selectTokens(tx, null)).map(toToken) }));
}

/** Ends a token at once. Revoking it again changes nothing. */
export function revokeMachineToken(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<MachineToken>> {
  return perform(deps, caller, 'machine-token.revoke', async ({ tx, now }) => {
    await markRevoked(tx, { id: command.id, now });
    const [row] = await selectTokens(tx, command.id);
    return row === undefined ? refused('not-found') : done(toToken(row));
  });
}

function toToken(row: TokenRow): MachineToken {
  return {
    id: row.id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    madeAt: formatInstant(row.made_at),
    madeBy: row.made_by,
    revokedAt: row.revoked_at && formatInstant(row.revoked_at),
    revokedBy: row.revoked_by,
    lastReportAt: row.last_report_at && formatInstant(row.last_report_at),
  };
}
