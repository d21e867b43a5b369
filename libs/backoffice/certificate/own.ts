import { createHash, X509Certificate } from 'node:crypto';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { BringCertificate, SigningCertificate } from '#contracts/signing-certificate';
import { readPkcs12, type ReadPkcs12Result } from '#statement/sign/pkcs12';
import { signerFromKey, type SignerProblem } from '#statement/sign/signer';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readCertificates } from './read';
import { dataKeyInUse, SIGNING_KEY_PURPOSE } from './signer';
import { insertSigningCertificate, lockCertificates } from './signing.sql';

type FileProblem = Extract<ReadPkcs12Result, { ok: false }>['problem'];

const problemWords: Readonly<Record<FileProblem | SignerProblem | 'expired' | 'not-valid-yet', { field: 'pkcs12' | 'password'; message: string }>> = {
  'not-a-pkcs12-file': { field: 'pkcs12', message: 'This is no PKCS#12 file.' },
  'takes-too-long': { field: 'pkcs12', message: 'The file has its password hashed too often to be opened here: export it anew, with fewer iterations.' },
  'wrong-password': { field: 'password', message: 'The password does not open the file.' },
  'no-private-key': { field: 'pkcs12', message: 'There is no private key in the file.' },
  'several-private-keys': { field: 'pkcs12', message: 'There is more than one private key in the file.' },
  'no-certificate-for-the-key': { field: 'pkcs12', message: 'There is no certificate for the private key in the file.' },
  'key-does-not-fit-certificate': { field: 'pkcs12', message: 'The private key is not the one of the certificate.' },
  'key-type-not-supported': { field: 'pkcs12', message: 'The private key is neither EC nor RSA.' },
  'rsa-key-too-short': { field: 'pkcs12', message: 'The RSA key is shorter than 2048 bits.' },
  expired: { field: 'pkcs12', message: 'The certificate has expired.' },
  'not-valid-yet': { field: 'pkcs12', message: 'The certificate is not valid yet.' },
};

/**
 * Takes the operator's own key and certificate: statements issued from now on are signed under it. Those before stay as
 * they are, under the certificate of their time.
 */
export async function bringCertificate(deps: Backoffice, caller: Caller, command: BringCertificate): Promise<Outcome<SigningCertificate>> {
  return perform<SigningCertificate>(
    deps,
    caller,
    'signing-key.change',
    async ({ tx, now }) => {
      const contents = readPkcs12(Buffer.from(command.pkcs12, 'base64'), command.password);
      if (!contents.ok) return refusedFile(contents.problem);
      const usable = signerFromKey(contents);
      if (!usable.ok) return refusedFile(usable.problem);
      const { validFrom, validTo } = datesOf(contents.certificate);
      if (validTo <= now) return refusedFile('expired');
      if (validFrom > now) return refusedFile('not-valid-yet');
      await lockCertificates(tx);
      const dataKey = await dataKeyInUse(deps, tx);
      const plaintext = Buffer.from(contents.privateKey);
      const id = deps.newId();
      await insertSigningCertificate(tx, {
        id,
        source: 'own',
        certificate: contents.certificate,
        chain: contents.chain,
        fingerprint: createHash('sha256').update(contents.certificate).digest(),
        sealedPrivateKey: deps.operatorSecrets.seal({ plaintext, tenantId: tx.tenantId, purpose: SIGNING_KEY_PURPOSE, dataKey }),
        validFrom,
        validTo,
        now,
      });
      const made = (await readCertificates(tx, now)).find((each) => each.id === id);
      if (made === undefined) throw new Error('the certificate that was just stored is not there');
      return done(made);
    },
    {
      constraints: {
        signing_certificate_tenant_id_fingerprint_key: {
          code: 'already-exists',
          errors: [{ in: 'body', pointer: '#/pkcs12', code: 'taken', message: 'This certificate is there already.' }],
        },
      },
    },
  );
}

function refusedFile(problem: keyof typeof problemWords): Outcome<never> {
  const { field, message } = problemWords[problem];
  return refusedFields('invalid-command', [{ path: [field], code: problem, message }]);
}

function datesOf(certificate: Uint8Array): { validFrom: Date; validTo: Date } {
  const { validFrom, validTo } = new X509Certificate(certificate);
  return { validFrom: new Date(validFrom), validTo: new Date(validTo) };
}
