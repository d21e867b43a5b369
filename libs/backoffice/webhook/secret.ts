import type { TenantTransaction } from '#database/tenant';
import { dataKeyInUse } from '../certificate/signer';
import { readDataKeys } from '../certificate/signing.sql';
import type { Backoffice } from '../dependencies';

/** What secrets are sealed for: a sealed value does not open for anything else. */
export const WEBHOOK_SECRET_PURPOSE = 'webhook secret';

/** Seals a secret under the operator's data key, which is made when there is none yet. */
export async function sealSecret(deps: Backoffice, tx: TenantTransaction, secret: string): Promise<{ readonly sealedSecret: Buffer; readonly dataKeyId: string }> {
  const dataKey = await dataKeyInUse(deps, tx);
  const sealedSecret = deps.operatorSecrets.seal({ plaintext: Buffer.from(secret, 'utf8'), tenantId: tx.tenantId, purpose: WEBHOOK_SECRET_PURPOSE, dataKey });
  return { sealedSecret, dataKeyId: dataKey.id };
}

export async function openSecrets(deps: Pick<Backoffice, 'operatorSecrets'>, tx: TenantTransaction, sealed: readonly Buffer[]): Promise<string[]> {
  const dataKeys = await readDataKeys(tx);
  return sealed.map((each) => deps.operatorSecrets.open({ tenantId: tx.tenantId, purpose: WEBHOOK_SECRET_PURPOSE, sealed: each, dataKeys }).toString('utf8'));
}
