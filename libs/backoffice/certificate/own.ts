import { createHash, randomBytes, X509Certificate } from 'node:crypto';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { BringCertificate, SigningCertificate } from '#contracts/signing-certificate';
import { enqueueAll } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import { maySignDocuments } from '#statement/sign/certificate-usage';
import { signCms } from '#statement/sign/cms';
import { readPem, readPemCertificates, type ReadPemCertificatesResult, type ReadPemResult } from '#statement/sign/pem';
import { readPkcs12, type ReadPkcs12Result } from '#statement/sign/pkcs12';
import { USUAL_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import { signerFromKey, type Signer, type SignerProblem } from '#statement/sign/signer';
import type { Caller } from '../caller';
import { batchesThatMiss } from '../close/batch.sql';
import { batchTopics } from '../close/enqueue-batches';
import type { Backoffice } from '../dependencies';
import { presentOperator } from '../operator/operator.sql';
import { perform } from '../perform';
import { makeCertificate } from './make';
import { readCertificates } from './read';
import { dataKeyInUse, elsewhere, SIGNING_KEY_PURPOSE } from './signer';
import { insertSigningCertificate, lockCertificates } from './signing.sql';

type FileProblem = Extract<ReadPkcs12Result | ReadPemResult | ReadPemCertificatesResult, { ok: false }>['problem'];
type KeyElsewhereProblem = Extract<Awaited<ReturnType<Signer['sign']>>, { ok: false }>['problem'];

/** `file` stands for the form that was sent, `key` for the private key in it, which may be a field of its own. */
const problemWords: Readonly<Record<FileProblem | SignerProblem | KeyElsewhereProblem | 'signs-for-anybody' | 'chain-too-long' | 'chain-missing' | 'key-not-pem' | 'wrong-key-usage' | 'expired' | 'not-valid-yet' | 'in-the-past', { field: 'file' | 'key' | 'password' | 'inUseFrom'; message: string }>> = {
  'not-a-pkcs12-file': { field: 'file', message: 'This is no PKCS#12 file.' },
  'not-pem': { field: 'file', message: 'This is not what is expected here, in PEM.' },
  'key-not-pem': { field: 'key', message: 'This is no private key in PEM.' },
  'private-key-sent': { field: 'file', message: 'There is a private key in it, where certificates alone are expected.' },
  'key-out-of-reach': { field: 'file', message: 'The signing command did not sign with the key of this certificate.' },
  'signs-for-anybody': { field: 'file', message: 'The signing command signs with this key for an operator that does not exist as well: it has to go by the code that it is given.' },
  'chain-too-long': { field: 'file', message: 'The certificate with those above it is too long for the signature of a statement. Leave out the topmost one, which receivers have from elsewhere.' },
  'chain-missing': { field: 'file', message: 'The certificate is by somebody whose own certificate is not in the file: send that one along, and those above it. If every receiver has it from elsewhere, say that it is left out.' },
  'wrong-key-usage': { field: 'file', message: 'The certificate is not for signing documents: it says itself that it is for something else, such as a web server.' },
  'not-by-the-certificate': { field: 'file', message: 'The signing command signed, but not with the key of this certificate.' },
  'key-is-encrypted': { field: 'key', message: 'The private key is under a password: take it off, or send a PKCS#12 file.' },
  'in-the-past': { field: 'inUseFrom', message: 'Statements before now are signed already.' },
  'takes-too-long': { field: 'file', message: 'The file has its password hashed too often to be opened here: export it anew, with fewer iterations.' },
  'wrong-password': { field: 'password', message: 'The password does not open the file.' },
  'no-private-key': { field: 'key', message: 'There is no private key in the file.' },
  'several-private-keys': { field: 'key', message: 'There is more than one private key in the file.' },
  'no-certificate-for-the-key': { field: 'file', message: 'There is no certificate for the private key in the file.' },
  'key-does-not-fit-certificate': { field: 'file', message: 'The private key is not the one of the certificate.' },
  'key-type-not-supported': { field: 'key', message: 'The private key is neither EC nor RSA.' },
  'rsa-key-too-short': { field: 'key', message: 'The RSA key is shorter than 2048 bits.' },
  expired: { field: 'file', message: 'The certificate has expired.' },
  'not-valid-yet': { field: 'file', message: 'The certificate is not valid yet.' },
};

/**
 * Takes the operator's own key and certificate, or makes them: statements issued from now, or from a later moment, on are signed under it. Those before stay as
 * they are, under the certificate of their time.
 */
export async function bringCertificate(deps: Backoffice, caller: Caller, command: BringCertificate): Promise<Outcome<SigningCertificate>> {
  return perform<SigningCertificate>(
    deps,
    caller,
    'signing-key.change',
    async ({ tx, now }) => {
      const inUseFrom = command.inUseFrom === undefined ? now : new Date(command.inUseFrom);
      if (inUseFrom < now) return refusedFile('in-the-past', command);
      const read = await readMaterial(deps, tx, { command, inUseFrom });
      if (!read.ok) return refusedFile(read.problem, command, read.detail);
      const { contents } = read;
      const { validFrom, validTo } = datesOf(contents.certificate);
      if (validTo <= inUseFrom) return refusedFile('expired', command);
      if (validFrom > inUseFrom) return refusedFile('not-valid-yet', command);
      await lockCertificates(tx);
      const id = deps.newId();
      await insertSigningCertificate(tx, {
        id,
        source: command.madeHere === true ? 'made-here' : contents.privateKey === null ? 'elsewhere' : 'own',
        certificate: contents.certificate,
        chain: contents.chain,
        sealedPrivateKey: contents.privateKey === null ? null : await sealedKey(deps, tx, contents.privateKey),
        validFrom,
        validTo,
        inUseFrom,
      });
      // What waited for a certificate need not wait for its pause to be over as well.
      await enqueueAll(tx, batchTopics.render, (await batchesThatMiss(tx, null)).map((batchId) => ({ batchId })));
      const made = (await readCertificates(tx, now)).find((each) => each.id === id);
      if (made === undefined) throw new Error('the certificate that was just stored is not there');
      return done(made);
    },
    {
      constraints: {
        signing_certificate_tenant_id_fingerprint_key: {
          code: 'already-exists',
          errors: [{ in: 'body', pointer: `#/${formOf(command)}`, code: 'taken', message: 'This certificate is there already.' }],
        },
      },
    },
  );
}

type Material = { readonly certificate: Uint8Array; readonly chain: readonly Uint8Array[]; readonly privateKey: Uint8Array | null };
type ReadMaterial = { readonly ok: true; readonly contents: Material } | { readonly ok: false; readonly problem: keyof typeof problemWords; readonly detail?: string };

/** What was sent, once something was signed under it: with the key that came along, or by whoever has it. */
async function readMaterial(deps: Backoffice, tx: TenantTransaction, { command, inUseFrom }: { command: BringCertificate; inUseFrom: Date }): Promise<ReadMaterial> {
  if (command.madeHere === true) return { ok: true, contents: { ...(await makeCertificate({ randomBytes }, tx, inUseFrom)), chain: [] } };
  if (command.certificate !== undefined) {
    const certificates = readPemCertificates(command.certificate);
    if (!certificates.ok) return certificates;
    if (command.privateKey === undefined) return unfit(certificates, command) ?? readElsewhere(deps, (await presentOperator(tx)).code, certificates);
  }
  const read = readWithKey(command);
  if (!read.ok) return read;
  const made = signerFromKey(read);
  if (!made.ok) return made;
  const wrong = unfit(read, command);
  if (wrong !== null) return wrong;
  const tried = await tryToSign(deps, made.signer);
  return tried.ok ? { ok: true, contents: read } : tried;
}

function readWithKey({ pkcs12, password, pem, privateKey, certificate }: BringCertificate): ReadPkcs12Result | ReadPemResult | Extract<ReadMaterial, { ok: false }> {
  if (pkcs12 !== undefined) return readPkcs12(Buffer.from(pkcs12, 'base64'), password ?? '');
  if (pem !== undefined) return readPem(pem);
  const read = readPem(`${privateKey ?? ''}\n${certificate ?? ''}`);
  // The certificates were read already: what is no PEM is the key.
  return read.ok || read.problem !== 'not-pem' ? read : { ok: false, problem: 'key-not-pem' };
}

/** What the certificate says of itself that no receiver would take for the signature of a statement. */
function unfit({ certificate, chain }: Pick<Material, 'certificate' | 'chain'>, { chainLeftOut }: BringCertificate): Extract<ReadMaterial, { ok: false }> | null {
  if (!maySignDocuments(certificate)) return { ok: false, problem: 'wrong-key-usage' };
  const read = new X509Certificate(certificate);
  return chain.length > 0 || read.checkIssued(read) || chainLeftOut === true ? null : { ok: false, problem: 'chain-missing' };
}

/** Signs as a statement is signed, so that no month is issued first and found to be too much for its signatures afterwards. */
async function tryToSign(deps: Pick<Backoffice, 'newId'>, signer: Signer): Promise<{ readonly ok: true } | Extract<ReadMaterial, { ok: false }>> {
  const contentDigest = createHash('sha256').update(`Does the key fit? ${deps.newId()}`).digest();
  const made = await signCms({ contentDigest, signer });
  if (!made.ok) return made;
  const [needed, room] = [made.cms.length, USUAL_SIGNATURE_ROOM_BYTES];
  return needed <= room ? { ok: true } : { ok: false, problem: 'chain-too-long', detail: `${needed} bytes are needed, ${room} are kept in a statement` };
}

/** No operator has it: codes have letters and digits at both ends. */
const NOBODYS_CODE = '-';

/**
 * Tries the key that lies elsewhere. A command that overlooks for whom it signs would sign the statements of one operator as
 * another's, whose certificate anybody can copy out of a statement; so it must have nothing for a code that nobody has.
 */
async function readElsewhere(deps: Backoffice, operatorCode: string, read: Pick<Material, 'certificate' | 'chain'>): Promise<ReadMaterial> {
  const made = elsewhere(deps, operatorCode, read);
  if (!made.ok) return made;
  const tried = await tryToSign(deps, made.signer);
  if (!tried.ok) return tried;
  const nobodys = elsewhere(deps, NOBODYS_CODE, read);
  if (nobodys.ok && (await nobodys.signer.sign(Buffer.from(`Does the key fit? ${deps.newId()}`))).ok) return { ok: false, problem: 'signs-for-anybody' };
  return { ok: true, contents: { ...read, privateKey: null } };
}

async function sealedKey(deps: Backoffice, tx: TenantTransaction, privateKey: Uint8Array): Promise<Buffer> {
  const dataKey = await dataKeyInUse(deps, tx);
  return deps.operatorSecrets.seal({ plaintext: Buffer.from(privateKey), tenantId: tx.tenantId, purpose: SIGNING_KEY_PURPOSE, dataKey });
}

function refusedFile(problem: keyof typeof problemWords, command: BringCertificate, detail?: string): Outcome<never> {
  const { field, message } = problemWords[problem];
  const fieldOf = { file: formOf(command), key: command.privateKey === undefined ? formOf(command) : 'privateKey', password: 'password', inUseFrom: 'inUseFrom' };
  const wrong: WrongField = { path: [fieldOf[field]], code: problem, message: detail === undefined ? message : `${message} ${detailIn(problem, detail)}` };
  return refusedFields('invalid-command', [wrong]);
}

function formOf(command: BringCertificate): 'pem' | 'certificate' | 'madeHere' | 'pkcs12' {
  if (command.pem !== undefined) return 'pem';
  if (command.certificate !== undefined) return 'certificate';
  return command.madeHere === true ? 'madeHere' : 'pkcs12';
}

function detailIn(problem: keyof typeof problemWords, detail: string): string {
  return problem === 'chain-too-long' ? `In figures: ${detail}.` : `It said: ${detail}.`;
}

function datesOf(certificate: Uint8Array): { validFrom: Date; validTo: Date } {
  const { validFrom, validTo } = new X509Certificate(certificate);
  return { validFrom: new Date(validFrom), validTo: new Date(validTo) };
}
