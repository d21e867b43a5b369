import { X509Certificate } from 'node:crypto';
import { formatInstant } from '#contracts/format';
import { done, type Outcome } from '#contracts/outcome';
import type { SigningCertificate, SigningCertificateList } from '#contracts/signing-certificate';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { groupBy } from '../settlement/inputs/group-by';
import { readAttention, whyNot } from './attention';
import { toRevocation } from './revocation';
import { selectRevocations } from './revocation.sql';
import { readCertificateRows, readChosenCertificate } from './signing.sql';

/** Every certificate that the operator has, had, or will sign under, the latest first. */
export function listCertificates(deps: Backoffice, caller: Caller): Promise<Outcome<SigningCertificateList>> {
  return perform(deps, caller, 'signing-key.read', async ({ tx, now }) => done({ items: await readCertificates(tx, now), attention: await readAttention(tx, now) }));
}

export async function readCertificates(tx: TenantTransaction, now: Date): Promise<SigningCertificate[]> {
  const rows = await readCertificateRows(tx);
  const revocations = groupBy(await selectRevocations(tx), (row) => row.certificate_id);
  const chosen = await readChosenCertificate(tx, now);
  const current = chosen !== undefined && whyNot(chosen, now) === null ? chosen.id : null;
  return rows.map((row) => ({
    id: row.id,
    source: row.source,
    subject: new X509Certificate(row.certificate).subject,
    fingerprint: row.fingerprint.toString('hex'),
    validFrom: formatInstant(row.valid_from),
    validTo: formatInstant(row.valid_to),
    inUseFrom: formatInstant(row.in_use_from),
    inUse: row.id === current,
    revocation: toRevocation(revocations.get(row.id) ?? []),
  }));
}
