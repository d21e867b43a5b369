import { createHash } from 'node:crypto';
import { withTenant, type TenantTransaction } from '#database/tenant';
import { makeOperatorCertificate } from '#statement/sign/operator-certificate';
import { signerElsewhere, signerFromKey, type Signer } from '#statement/sign/signer';
import type { WorkDeps } from '../close/work';
import type { Backoffice, DataKey } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import {
  insertDataKey,
  insertSigningCertificate,
  lockCertificates,
  readDataKeys,
  readSigningCertificate,
  type CertificateRow,
} from './signing.sql';

export type SigningDeps = WorkDeps & Pick<Backoffice, 'operatorSecrets' | 'signElsewhere'>;

/** What private keys are sealed for: a sealed value does not open for anything else. */
export const SIGNING_KEY_PURPOSE = 'statement signing key';

/** Long enough for what it signs to be paid and argued about, short enough for an algorithm to stay good. */
const VALID_YEARS = 10;

/** A day of grace for receivers whose clock is behind. */
const VALID_BEFORE_MS = 24 * 3600 * 1000;

export type OperatorSigner = { readonly certificateId: string; readonly signer: Signer };

/**
 * Who signs the operator's statements at a moment. The first time, and when every certificate has expired, there is nobody:
 * a key and a certificate are made and kept, the key sealed under the operator's data key. Its fingerprint is what sites are
 * given in print. Under an expired certificate no receiver takes a signature for sound.
 */
export async function operatorSigner(deps: SigningDeps, scope: Parameters<typeof withTenant>[1]): Promise<OperatorSigner> {
  const found = await withTenant(deps.database, scope, async (tx) => {
    const row = await readSigningCertificate(tx, deps.clock.now());
    return row === undefined ? undefined : signerOf(deps, tx, row);
  });
  return found ?? (await makeSigner(deps, scope));
}

async function makeSigner(deps: SigningDeps, scope: Parameters<typeof withTenant>[1]): Promise<OperatorSigner> {
  return withTenant(deps.database, scope, async (tx) => {
    await lockCertificates(tx);
    const now = deps.clock.now();
    const made = await readSigningCertificate(tx, now);
    if (made !== undefined) return signerOf(deps, tx, made);
    const { rows } = await tx.sql<{ name: string }>('SELECT name FROM operator WHERE tenant_id = $1', [tx.tenantId]);
    const validFrom = new Date(now.getTime() - VALID_BEFORE_MS);
    const validTo = new Date(now);
    validTo.setUTCFullYear(validTo.getUTCFullYear() + VALID_YEARS);
    const { certificate, privateKey } = await makeOperatorCertificate({
      operatorName: rows[0]?.name ?? '',
      validFrom,
      validTo,
      // 60 random bits below a digit that keeps the number positive: RFC 5280 4.1.2.2 asks for that, and for at most 20 bytes.
      serial: `4${Buffer.from(deps.randomBytes(8)).toString('hex').slice(1)}`,
    });
    const dataKey = await dataKeyInUse(deps, tx);
    const sealedPrivateKey = deps.operatorSecrets.seal({ plaintext: Buffer.from(privateKey), tenantId: tx.tenantId, purpose: SIGNING_KEY_PURPOSE, dataKey });
    const id = deps.newId();
    const fingerprint = createHash('sha256').update(certificate).digest();
    await insertSigningCertificate(tx, { id, source: 'made-here', certificate, chain: [], fingerprint, sealedPrivateKey, validFrom, validTo, inUseFrom: now });
    return { certificateId: id, signer: usable(signerFromKey({ privateKey, certificate })) };
  });
}

/** The operator's data key, made when it is needed for the first time. */
export async function dataKeyInUse(deps: Pick<Backoffice, 'newId' | 'clock' | 'operatorSecrets'>, tx: TenantTransaction): Promise<DataKey> {
  const [inUse] = await readDataKeys(tx);
  if (inUse !== undefined) return inUse;
  const made = deps.operatorSecrets.newDataKey(tx.tenantId);
  const id = deps.newId();
  await insertDataKey(tx, { id, ...made, now: deps.clock.now() });
  return { id, wrappedKey: made.wrappedKey };
}

async function signerOf(deps: SigningDeps, tx: TenantTransaction, row: CertificateRow): Promise<OperatorSigner> {
  const { certificate, chain } = row;
  if (row.sealed_private_key === null) return { certificateId: row.id, signer: usable(elsewhere(deps, (await presentOperator(tx)).code, row)) };
  const dataKeys = await readDataKeys(tx);
  const privateKey = deps.operatorSecrets.open({ tenantId: tx.tenantId, purpose: SIGNING_KEY_PURPOSE, sealed: row.sealed_private_key, dataKeys });
  return { certificateId: row.id, signer: usable(signerFromKey({ privateKey, certificate, chain })) };
}

/** A signer under a certificate whose key lies elsewhere. Where nothing is configured that reaches it, it says so when it is to sign: another key would be no answer. */
export function elsewhere(
  { signElsewhere }: Pick<Backoffice, 'signElsewhere'>,
  operatorCode: string,
  { certificate, chain }: { readonly certificate: Uint8Array; readonly chain: readonly Uint8Array[] },
): ReturnType<typeof signerElsewhere> {
  const certificateFingerprint = createHash('sha256').update(certificate).digest('hex');
  return signerElsewhere({
    certificate,
    chain,
    signElsewhere: async (message) =>
      signElsewhere === undefined ? { ok: false, detail: 'SIGNING_COMMAND is not set' } : signElsewhere({ operatorCode, certificateFingerprint, message }),
  });
}

function usable(made: ReturnType<typeof signerFromKey>): Signer {
  if (!made.ok) throw new Error(`the stored signing key cannot be used: ${made.problem}`);
  return made.signer;
}
