import { randomBytes } from 'node:crypto';
import { withTenant } from '#database/tenant';
import { signCms } from '#statement/sign/cms';
import { notSignedInWords } from '#statement/sign/sign-pdf';
import { STAMPED_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import { operatorSigner } from '../certificate/signer';
import { readChosenCertificate } from '../certificate/signing.sql';
import type { Backoffice } from '../dependencies';
import { stampSignature } from './issue';

/**
 * Has one signature stamped that nobody needs, and says in English why that does not do; undefined where it does. With the certificate in use, where there
 * is one whose key signs at this moment, it is also found out whether the stamp fits into a statement beside it.
 */
export async function whyNoTrialStamp(deps: Backoffice, scope: Parameters<typeof withTenant>[1]): Promise<string | undefined> {
  const work = { ...deps, randomBytes, onBug: () => undefined };
  const stampOn = (signature: Uint8Array) => stampSignature(work, signature);
  const hasCertificate = await withTenant(deps.database, scope, async (tx) => (await readChosenCertificate(tx, deps.clock.now())) !== undefined);
  const found = hasCertificate ? await operatorSigner(work, scope) : undefined;
  const contentDigest = randomBytes(32);
  const made = found?.ok === true ? await signCms({ contentDigest, signer: found.signer, stampSignature: stampOn }) : undefined;
  if (made?.ok === true) {
    const neededBytes = made.cms.length;
    return neededBytes > STAMPED_SIGNATURE_ROOM_BYTES ? notSignedInWords({ ok: false, problem: 'signature-too-large', neededBytes, roomBytes: STAMPED_SIGNATURE_ROOM_BYTES }) : undefined;
  }
  // A key that does not sign is nothing against the stamps.
  const stamped = made?.problem === 'not-stamped' ? made : await stampOn(contentDigest);
  return stamped.ok ? undefined : notSignedInWords(stamped);
}
