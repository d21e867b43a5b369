import { z } from 'zod';
import { idSchema, instantSchema } from './format';

/** Certificates that statements are signed under. Private keys never leave the server. */
export const signingCertificateSchema = z
  .strictObject({
    id: idSchema,
    source: z.enum(['made-here', 'own']).describe('Made by this program on first use, or brought by the operator.'),
    subject: z.string().describe('Who it names, as the certificate says it.'),
    fingerprint: z.string().describe('SHA-256 of the certificate, in hexadecimal: what sites are given in print.'),
    validFrom: instantSchema,
    validTo: instantSchema,
    inUseFrom: instantSchema,
    inUse: z.boolean().describe('Whether new statements are signed under it.'),
  })
  .meta({ id: 'SigningCertificate' });
export type SigningCertificate = z.infer<typeof signingCertificateSchema>;
export const signingCertificateListSchema = z.strictObject({ items: z.array(signingCertificateSchema) });

export const bringCertificateSchema = z.strictObject({
  pkcs12: z.base64().min(1).max(200_000).describe('A PKCS#12 file (.p12, .pfx) with one private key and its certificate, in base64.'),
  password: z.string().max(200).describe('Password of the file.'),
});
export type BringCertificate = z.infer<typeof bringCertificateSchema>;
