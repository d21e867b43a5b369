import type { SigningCertificate } from '#contracts/signing-certificate';
import { formatInstant } from '#contracts/format';
import type { RevocationRow } from './revocation.sql';

/**
 * From when on a certificate is not to be believed: the earliest time that counts, null while it is not revoked. One that lies before
 * its recording casts doubt on statements that were out already, and counts once a second person has confirmed it.
 */
export function revokedSince(rows: readonly RevocationRow[]): Date | null {
  return rows.reduce<Date | null>((earliest, row) => {
    const from = row.confirmed_at === null ? row.recorded_at : row.revoked_from;
    return earliest === null || from < earliest ? from : earliest;
  }, null);
}

export function wantsSecondPerson(row: RevocationRow): boolean {
  return row.revoked_from < row.recorded_at;
}

/** The last word about a certificate; `rows` are all that were said, the latest first. */
export function toRevocation(rows: readonly RevocationRow[]): SigningCertificate['revocation'] {
  const [row] = rows;
  const countsFrom = revokedSince(rows);
  if (row === undefined || countsFrom === null) return null;
  return {
    id: row.id,
    revokedFrom: formatInstant(row.revoked_from),
    reason: row.reason,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    confirmation: row.confirmed_at !== null ? 'confirmed' : wantsSecondPerson(row) ? 'open' : 'not-needed',
    confirmedAt: row.confirmed_at && formatInstant(row.confirmed_at),
    confirmedBy: row.confirmed_by,
    countsFrom: formatInstant(countsFrom),
  };
}
