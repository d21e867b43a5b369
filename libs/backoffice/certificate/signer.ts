import { createHash } from 'node:crypto';
import type { KeyMissedWhy } from '#contracts/close';
import { formatInstant } from '#contracts/format';
import { withTenant, type TenantTransaction } from '#database/tenant';
import { signerElsewhere, signerFromKey, type Signer } from '#statement/sign/signer';
import type { WorkDeps } from '../close/work';
import type { Backoffice, DataKey } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { whyNot } from './attention';
import { makeCertificate } from './make';
import { insertDataKey, insertSigningCertificate, lockCertificates, readChosenCertificate, readDataKeys, type CertificateRow } from './signing.sql';

export type SigningDeps = WorkDeps & Pick<Backoffice, 'operatorSecrets' | 'signElsewhere'>;

/** What private keys are sealed for: a sealed value does not open for anything else. */
export const SIGNING_KEY_PURPOSE = 'statement signing key';

export type OperatorSigner = { readonly certificateId: string; readonly signer: Signer };

/** Why nothing is signed, for whoever can do something about it; `said` in English. */
export type KeyMissed = { readonly why: KeyMissedWhy; readonly said: string };

export type FoundSigner = ({ readonly ok: true } & OperatorSigner) | ({ readonly ok: false } & KeyMissed);

/**
 * Who signs the operator's statements at a moment: the certificate put to use last, and no other. Where that one has expired, is revoked, or
 * its key does not open, nobody signs until somebody chooses another: sites were given its fingerprint in print, and would take a
 * statement under a certificate that nobody announced for a forged one. Only the first time a key and a certificate are made and kept, the key sealed under
 * the operator's data key.
 */
export async function operatorSigner(deps: SigningDeps, scope: Parameters<typeof withTenant>[1]): Promise<FoundSigner> {
  const found = await withTenant(deps.database, scope, async (tx) => chosenSigner(deps, tx));
  return found ?? withTenant(deps.database, scope, async (tx) => {
    await lockCertificates(tx);
    return (await chosenSigner(deps, tx)) ?? makeFirst(deps, tx);
  });
}

async function chosenSigner(deps: SigningDeps, tx: TenantTransaction): Promise<FoundSigner | undefined> {
  const now = deps.clock.now();
  const chosen = await readChosenCertificate(tx, now);
  if (chosen === undefined) return undefined;
  const why = whyNot(chosen, now);
  if (why === 'revoked') return { ok: false, why, said: 'the certificate in use is revoked, and no other one was put to use' };
  if (why === 'expired') return { ok: false, why, said: `the certificate in use was valid to ${formatInstant(chosen.valid_to)}, and no other one was put to use` };
  return signerOf(deps, tx, chosen);
}

async function makeFirst(deps: SigningDeps, tx: TenantTransaction): Promise<FoundSigner> {
  const now = deps.clock.now();
  const made = await makeCertificate(deps, tx, now);
  const dataKey = await dataKeyInUse(deps, tx);
  const sealed = orMissed(() => deps.operatorSecrets.seal({ plaintext: Buffer.from(made.privateKey), tenantId: tx.tenantId, purpose: SIGNING_KEY_PURPOSE, dataKey }));
  if (!sealed.ok) return sealed;
  const id = deps.newId();
  await insertSigningCertificate(tx, { ...made, id, source: 'made-here', chain: [], sealedPrivateKey: sealed.value, inUseFrom: now });
  return { ok: true, certificateId: id, signer: usable(signerFromKey(made)) };
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

async function signerOf(deps: SigningDeps, tx: TenantTransaction, row: CertificateRow): Promise<FoundSigner> {
  const { id: certificateId, certificate, chain, sealed_private_key: sealed } = row;
  if (sealed === null) {
    const operatorCode = (await presentOperator(tx)).code;
    return { ok: true, certificateId, signer: usable(elsewhere(deps, operatorCode, row)) };
  }
  const dataKeys = await readDataKeys(tx);
  const opened = orMissed(() => {
    const privateKey = deps.operatorSecrets.open({ tenantId: tx.tenantId, purpose: SIGNING_KEY_PURPOSE, sealed, dataKeys });
    return usable(signerFromKey({ privateKey, certificate, chain }));
  });
  return opened.ok ? { ok: true, certificateId, signer: opened.value } : opened;
}

/** Secrets do not open by throwing: without the master key of these books, for one. What waits for them says so and goes on once they do. */
function orMissed<Value>(open: () => Value): { readonly ok: true; readonly value: Value } | ({ readonly ok: false } & KeyMissed) {
  try {
    return { ok: true, value: open() };
  } catch (error) {
    return { ok: false, why: 'not-opened', said: error instanceof Error ? error.message : String(error) };
  }
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
