import type { TenantTransaction } from '#database/tenant';
import { makeOperatorCertificate, type OperatorCertificate } from '#statement/sign/operator-certificate';
import type { EvidenceDeps } from '../evidence/append';
import { presentOperator } from '../operator/operator.sql';
import { readOldestUnsigned } from './signing.sql';

/** Long enough for what it signs to be paid and argued about, short enough for an algorithm to stay good. */
const VALID_YEARS = 10;

/** A day of grace for receivers whose clock is behind. */
const VALID_BEFORE_MS = 24 * 3600 * 1000;

export type MadeCertificate = OperatorCertificate & { readonly validFrom: Date; readonly validTo: Date };

/**
 * A key of the operator's with its certificate, valid from a day before `from` on, or from a day before the oldest statement that still waits for its signature was numbered:
 * the moment of issue stands in the signature as its time, and what reads PDF would say that its certificate was not in force.
 */
export async function makeCertificate({ randomBytes }: Pick<EvidenceDeps, 'randomBytes'>, tx: TenantTransaction, from: Date): Promise<MadeCertificate> {
  const oldest = await readOldestUnsigned(tx);
  const validFrom = new Date((oldest !== null && oldest < from ? oldest : from).getTime() - VALID_BEFORE_MS);
  const validTo = new Date(from);
  validTo.setUTCFullYear(validTo.getUTCFullYear() + VALID_YEARS);
  const made = await makeOperatorCertificate({
    operatorName: (await presentOperator(tx)).name,
    validFrom,
    validTo,
    // 60 random bits below a digit that keeps the number positive: RFC 5280 4.1.2.2 asks for that, and for at most 20 bytes.
    serial: `4${Buffer.from(randomBytes(8)).toString('hex').slice(1)}`,
  });
  return { ...made, validFrom, validTo };
}
