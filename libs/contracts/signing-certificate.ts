import { z } from 'zod';
import { idSchema, instantSchema, reasonSchema } from './format';

export const certificateRevocationSchema = z
  .strictObject({
    id: idSchema,
    revokedFrom: instantSchema.describe('From when on it is said not to be believed.'),
    reason: z.string(),
    recordedAt: instantSchema.describe('Nothing is signed under it from then on.'),
    recordedBy: z.string(),
    confirmation: z.enum(['not-needed', 'open', 'confirmed']).describe('A time before the recording counts once a second person has confirmed it.'),
    confirmedAt: instantSchema.nullable(),
    confirmedBy: z.string().nullable(),
    countsFrom: instantSchema.describe('What whoever checks a statement is told: the earliest time that counts.'),
  })
  .meta({ id: 'CertificateRevocation' });

export const revokeCertificateSchema = z.strictObject({
  revokedFrom: instantSchema.optional().describe('Since when it is not to be believed, such as the moment in which a token was lost; now if left out. A time before now wants a second person. Recorded again, it can only be earlier.'),
  reason: reasonSchema,
});
export type RevokeCertificate = z.infer<typeof revokeCertificateSchema>;

/** Certificates that statements are signed under. Private keys never leave the server. */
export const signingCertificateSchema = z
  .strictObject({
    id: idSchema,
    source: z.enum(['made-here', 'own', 'elsewhere']).describe('Made by this program on first use, brought by the operator with its key, or brought alone: its key lies where the signing command of the installation reaches it.'),
    subject: z.string().describe('Who it names, as the certificate says it.'),
    fingerprint: z.string().describe('SHA-256 of the certificate, in hexadecimal: what sites are given in print.'),
    validFrom: instantSchema,
    validTo: instantSchema,
    inUseFrom: instantSchema,
    inUse: z.boolean().describe('Whether new statements are signed under it.'),
    revocation: certificateRevocationSchema.nullable(),
  })
  .meta({ id: 'SigningCertificate' });
export type SigningCertificate = z.infer<typeof signingCertificateSchema>;

export const certificateAttentionSchema = z
  .strictObject({
    why: z.enum(['ends-soon', 'expired', 'revoked']).describe('ends-soon: in 30 days or less, and none follows in time; expired, revoked: the one in use is, and statements wait until another one is put to use.'),
    certificateId: idSchema,
    validTo: instantSchema,
    nextInUseFrom: instantSchema.nullable().describe('From when on one signs that is brought already.'),
  })
  .meta({ id: 'CertificateAttention' });
export type CertificateAttention = z.infer<typeof certificateAttentionSchema>;

export const signingCertificateListSchema = z.strictObject({
  items: z.array(signingCertificateSchema),
  attention: certificateAttentionSchema.nullable().describe('What somebody has to see to, so that statements are signed on. Null: nothing.'),
});
export type SigningCertificateList = z.infer<typeof signingCertificateListSchema>;

export const bringCertificateSchema = z
  .strictObject({
    pkcs12: z.base64().min(1).max(200_000).optional().describe('A PKCS#12 file (.p12, .pfx) with one private key and its certificate, in base64.'),
    password: z.string().max(200).optional().describe('Password of the PKCS#12 file.'),
    pem: z.string().min(1).max(200_000).optional().describe('Instead: one private key without a password, its certificate, and those above it, as PEM (RFC 7468).'),
    certificate: z
      .string()
      .min(1)
      .max(200_000)
      .optional()
      .describe('Instead: a certificate as PEM, those above it after it. Without `privateKey` its key lies elsewhere, and the signing command of the installation signs with it; it is asked for a signature at once.'),
    privateKey: z.string().min(1).max(50_000).optional().describe('With `certificate`: its private key as PEM, without a password.'),
    madeHere: z.literal(true).optional().describe('Instead: a key and a certificate are made here, as the first ones were.'),
    chainLeftOut: z.literal(true).optional().describe('A certificate comes with the one above it, unless you say by this that receivers have that one from elsewhere.'),
    inUseFrom: instantSchema.optional().describe('From when on statements are signed under it; at once if left out. Give its fingerprint to the sites before.'),
  })
  .refine((sent) => [sent.pkcs12, sent.pem, sent.certificate, sent.madeHere].filter((form) => form !== undefined).length === 1, {
    path: ['pkcs12'],
    message: 'Send a PKCS#12 file, a key with its certificate as PEM, or a certificate alone, or have them made here.',
    params: { code: 'either-or' },
  })
  .refine(({ pkcs12, password }) => pkcs12 === undefined || password !== undefined, { path: ['password'], message: 'The password of the file is needed; it may be empty.', params: { code: 'missing' } })
  .refine(({ privateKey, certificate }) => privateKey === undefined || certificate !== undefined, { path: ['certificate'], message: 'The certificate of the private key is needed.', params: { code: 'missing' } });
export type BringCertificate = z.infer<typeof bringCertificateSchema>;
