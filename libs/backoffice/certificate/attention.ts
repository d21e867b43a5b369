import type { CertificateAttention } from '#contracts/signing-certificate';
import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { readChosenCertificate, readNextInUse, type ChosenCertificateRow } from './signing.sql';

export const DAY_MS = 24 * 3600 * 1000;
/** Days before the end of the certificate that signs, on which it is said that another one has to follow: time enough to be issued one. */
export const FIRST_WARNING_DAYS = 30;

/** Why the certificate that is to sign can not; null while it can. Under an expired certificate no receiver takes a signature for sound. */
export function whyNot({ is_revoked: isRevoked, valid_to: validTo }: Pick<ChosenCertificateRow, 'is_revoked' | 'valid_to'>, at: Date): 'revoked' | 'expired' | null {
  if (isRevoked) return 'revoked';
  return validTo <= at ? 'expired' : null;
}

/** What somebody has to see to before statements can be signed on; null where nothing is. The first certificate makes itself. */
export async function readAttention(tx: TenantTransaction, now: Date): Promise<CertificateAttention | null> {
  const chosen = await readChosenCertificate(tx, now);
  if (chosen === undefined) return null;
  const next = await readNextInUse(tx, now);
  const why = whyNot(chosen, now) ?? (endsSoon(chosen, now) && (next === null || next > chosen.valid_to) ? 'ends-soon' : null);
  if (why === null) return null;
  return { why, certificateId: chosen.id, validTo: formatInstant(chosen.valid_to), nextInUseFrom: next && formatInstant(next) };
}

function endsSoon({ valid_to: validTo }: ChosenCertificateRow, now: Date): boolean {
  return validTo.getTime() - now.getTime() <= FIRST_WARNING_DAYS * DAY_MS;
}
