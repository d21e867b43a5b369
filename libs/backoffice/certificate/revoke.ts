import { randomBytes } from 'node:crypto';
import { formatInstant } from '#contracts/format';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { RevokeCertificate, SigningCertificate } from '#contracts/signing-certificate';
import type { TenantTransaction } from '#database/tenant';
import type { CertificateRevoked } from '#domain/evidence/leaf';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { lockLog } from '../evidence/append';
import { perform } from '../perform';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { readCertificates } from './read';
import { wantsSecondPerson } from './revocation';
import { insertConfirmation, insertRevocation, selectRevocations } from './revocation.sql';
import { lockCertificates } from './signing.sql';
import { askForMails } from './tell-owners.sql';

/**
 * A certificate is not to be believed from a time on. Nothing is signed under it any more, at once and for good: that takes one person, as
 * waiting for a second would sign on under a key that somebody else may have. Owners are told by mail.
 */
export function revokeCertificate(deps: Backoffice, caller: Caller, command: RevokeCertificate & { readonly id: string }): Promise<Outcome<SigningCertificate>> {
  return perform<SigningCertificate>(deps, caller, 'signing-key.change', async ({ tx, now }) => {
    await lockCertificates(tx);
    const certificate = await presentCertificate(tx, { id: command.id, now });
    if (certificate === undefined) return refused('not-found');
    const revokedFrom = command.revokedFrom === undefined ? now : new Date(command.revokedFrom);
    const wrong = (code: string, message: string): Outcome<never> => refusedFields('invalid-command', [{ path: ['revokedFrom'], code, message }]);
    if (revokedFrom > now) return wrong('in-the-future', 'It is revoked from now on, or from a time before. To change certificates later, bring another one.');
    if (revokedFrom < new Date(certificate.validFrom)) return wrong('before-it-was-valid', 'The certificate was not valid then.');
    const [first] = (await selectRevocations(tx, command.id)).map((row) => row.revoked_from).sort((one, other) => one.getTime() - other.getTime());
    if (first !== undefined && revokedFrom >= first) return wrong('not-earlier', `It is revoked from ${formatInstant(first)} on already. Only an earlier time can be recorded.`);
    const id = deps.newId();
    await insertRevocation(tx, { id, certificateId: command.id, revokedFrom, reason: command.reason, now });
    await askForMails(tx, { revocationId: id, about: 'recorded', now });
    await recordStep(tx, { step: 'recorded', revocationId: id, certificateFingerprint: certificate.fingerprint, revokedFrom: formatInstant(revokedFrom), now });
    return done(await certificateNow(tx, { id: command.id, now }));
  });
}

/** The second person stands for a time before the recording: statements that were issued since are in doubt from then on. In a business of one the same person may, and it is labelled. */
export function confirmRevocation(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<SigningCertificate>> {
  return perform<SigningCertificate>(deps, caller, 'signing-key.confirm-revocation', async ({ tx, now }) => {
    await lockCertificates(tx);
    const certificate = await presentCertificate(tx, { id: command.id, now });
    if (certificate === undefined) return refused('not-found');
    const [row] = await selectRevocations(tx, command.id);
    if (row === undefined) return refused('wrong-state', { detail: 'The certificate is not revoked.' });
    if (row.confirmed_at !== null) return refused('wrong-state', { detail: 'Its revocation is confirmed already.' });
    if (!wantsSecondPerson(row)) return refused('wrong-state', { detail: 'It was revoked from the moment on in which that was recorded: nothing waits for a second person.' });
    const alone = await isCorrectedAlone(tx, { recordedBy: row.recorded_by, now, detail: 'You recorded this revocation yourself. Somebody else confirms it.' });
    if (!alone.ok) return alone;
    if (alone.value) await labelRelaxed(tx, { recordId: row.id, rule: 'second-person', kind: 'certificate-revocation', now });
    await insertConfirmation(tx, { revocationId: row.id, now });
    await askForMails(tx, { revocationId: row.id, about: 'confirmed', now });
    await recordStep(tx, { step: 'confirmed', revocationId: row.id, certificateFingerprint: certificate.fingerprint, revokedFrom: formatInstant(row.revoked_from), now });
    return done(await certificateNow(tx, { id: command.id, now }));
  });
}

/** An entry of the log, so that nobody can move the time afterwards, or say that it was known before. */
async function recordStep(tx: TenantTransaction, made: Pick<CertificateRevoked, 'step' | 'revocationId' | 'certificateFingerprint' | 'revokedFrom'> & { now: Date }): Promise<void> {
  const { now, ...said } = made;
  const log = await lockLog(tx, { now: () => now, randomBytes });
  await log.append([{ subjectId: made.revocationId, entry: { format: 1, kind: 'certificate-revoked', ...said, recordedAt: formatInstant(now), recordedBy: tx.actor } }]);
}

async function presentCertificate(tx: TenantTransaction, asked: { id: string; now: Date }): Promise<SigningCertificate | undefined> {
  return (await readCertificates(tx, asked.now)).find(({ id }) => id === asked.id);
}

async function certificateNow(tx: TenantTransaction, asked: { id: string; now: Date }): Promise<SigningCertificate> {
  const certificate = await presentCertificate(tx, asked);
  if (certificate === undefined) throw new Error('the certificate that was just revoked is not there');
  return certificate;
}
