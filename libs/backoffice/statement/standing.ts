import { formatInstant } from '#contracts/format';
import { done, type Outcome } from '#contracts/outcome';
import type { StandingQuery, StatementStanding } from '#contracts/statement-standing';
import { withTenant, type TenantTransaction } from '#database/tenant';
import type { Backoffice } from '../dependencies';
import type { Visitor } from '../identity/visitor';
import { revokedSince } from '../certificate/revocation';
import { selectCertificateId, selectRevocations } from '../certificate/revocation.sql';
import { selectStanding, type StandingRow } from './standing.sql';

/**
 * Whether a statement was reversed since it was issued, and whether the certificate in the file was revoked, for whoever holds it. The
 * digest names the operator, so that both are looked up among that operator's alone; nothing else is said of any, and what is
 * unknown is answered alike, whether there is such an operator or not.
 */
export async function readStanding(deps: Backoffice, visitor: Visitor, { digest, certificate }: StandingQuery): Promise<Outcome<StatementStanding>> {
  const [operator = '', hash = ''] = digest.split('.');
  const tenantId = operator.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
  return withTenant(deps.database, { tenantId, kind: 'system', id: 'statement-standing', requestId: visitor.requestId }, async (tx) => {
    const row = await selectStanding(tx, Buffer.from(hash, 'hex'));
    const standing = row === null ? 'unknown' : row.reversed_on === null ? 'in-force' : 'reversed';
    return done({ standing, reversedOn: row?.reversed_on ?? null, ...(await certificateStanding(tx, row, certificate)) });
  });
}

/** When it was signed is what the books say: a signature itself carries no time that its signer could not choose. */
async function certificateStanding(tx: TenantTransaction, row: StandingRow | null, fingerprint: string | undefined): Promise<Pick<StatementStanding, 'certificate' | 'revokedFrom'>> {
  if (fingerprint === undefined) return { certificate: 'not-asked', revokedFrom: null };
  const certificateId = await selectCertificateId(tx, Buffer.from(fingerprint, 'hex'));
  if (certificateId === null) return { certificate: 'unknown', revokedFrom: null };
  const since = revokedSince(await selectRevocations(tx, certificateId));
  const revokedFrom = since && formatInstant(since);
  if (row !== null && row.certificate_id !== certificateId) return { certificate: 'other', revokedFrom };
  if (since === null) return { certificate: 'not-revoked', revokedFrom };
  if (row === null) return { certificate: 'revoked', revokedFrom };
  return { certificate: row.stored_at < since ? 'revoked-later' : 'revoked-before', revokedFrom };
}
