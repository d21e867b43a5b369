import { z } from 'zod';
import { idSchema, instantSchema, localDateSchema } from './format';

/** The evidence log: a Merkle tree over salted, canonical entries (RFC 9162 section 2.1). Hashes are lower-case hex. */
const hashSchema = z.string().regex(/^[0-9a-f]{64}$/).describe('SHA-256, lower-case hex.');
const sizeSchema = z.coerce.number().int().min(0).max(Number.MAX_SAFE_INTEGER);

export const evidenceHeadSchema = z
  .strictObject({
    size: z.int().min(0).describe('Number of leaves.'),
    root: hashSchema.describe('Root over all leaves; of no leaves, the hash of nothing.'),
    recordedAt: instantSchema.nullable().describe('When the last leaf was appended.'),
  })
  .meta({ id: 'EvidenceHead' });
export type EvidenceHead = z.infer<typeof evidenceHeadSchema>;

export const leafParamsSchema = z.strictObject({ index: sizeSchema });

export const evidenceLeafSchema = z
  .strictObject({
    index: z.int().min(0),
    kind: z.string().describe('What happened: settlement-numbered, statement-issued, settlement-reversed, custody-recorded, custody-acknowledged, certificate-revoked, text-erased.'),
    subjectId: idSchema.describe('Id of what it is about: of the settlement, also of its statement and reversal, of the custody event, of the revocation of a certificate, or of the erasing of a text.'),
    salt: z.string().regex(/^[0-9a-f]{32}$/).describe('16 bytes, hex; hashed before the entry.'),
    entry: z.string().describe('Canonical JSON (RFC 8785), exactly as hashed. It names people and sites by id only.'),
    leafHash: hashSchema.describe('SHA-256(0x00, salt, entry).'),
    recordedAt: instantSchema,
  })
  .meta({ id: 'EvidenceLeaf' });
export type EvidenceLeaf = z.infer<typeof evidenceLeafSchema>;

export const inclusionQuerySchema = z.strictObject({
  index: sizeSchema.describe('Place of the leaf, from 0.'),
  size: sizeSchema.optional().describe('Size of the head under which to prove it; the present one when left out.'),
});
export type InclusionQuery = z.infer<typeof inclusionQuerySchema>;

export const inclusionSchema = z
  .strictObject({
    index: z.int().min(0),
    leafHash: hashSchema,
    head: evidenceHeadSchema.omit({ recordedAt: true }),
    proof: z.array(hashSchema).describe('Audit path, RFC 9162 section 2.1.3.'),
  })
  .meta({ id: 'InclusionProof' });
export type Inclusion = z.infer<typeof inclusionSchema>;

export const consistencyQuerySchema = z.strictObject({
  from: sizeSchema.describe('Size of the older head.'),
  to: sizeSchema.optional().describe('Size of the newer head; the present one when left out.'),
});
export type ConsistencyQuery = z.infer<typeof consistencyQuerySchema>;

export const consistencySchema = z
  .strictObject({
    older: evidenceHeadSchema.omit({ recordedAt: true }),
    newer: evidenceHeadSchema.omit({ recordedAt: true }),
    proof: z.array(hashSchema).describe('Consistency proof, RFC 9162 section 2.1.4.'),
  })
  .meta({ id: 'ConsistencyProof' });
export type Consistency = z.infer<typeof consistencySchema>;

export const evidenceTimestampSchema = z
  .strictObject({
    size: z.int().min(1).describe('Number of leaves under the head.'),
    root: hashSchema,
    stampedAt: instantSchema.describe('When the authority stamped it, by its own clock.'),
    authority: z.string().describe('What the authority calls itself in its certificate.'),
    policy: z.string().describe('Policy by which it worked, an object identifier.'),
    serialNumber: z.string().describe("The authority's number of the token, hex."),
    trusted: z.boolean().describe('Whether its certificate led to one that this installation trusts when the token came.'),
    data: z.string().describe('Exactly what was stamped: canonical JSON (RFC 8785) of size and root.'),
    token: z.string().describe('The token (RFC 3161), DER in base64; `openssl ts -verify -token_in` checks it against `data`.'),
  })
  .meta({ id: 'EvidenceTimestamp' });
export type EvidenceTimestamp = z.infer<typeof evidenceTimestampSchema>;

export const mailedHeadSchema = z
  .strictObject({
    mailedOn: localDateSchema.describe("Day by the operator's calendar; one head goes out a day, where the log has grown."),
    mailedAt: instantSchema,
    size: z.int().min(1).describe('Number of leaves under the head.'),
    root: hashSchema,
    addresses: z.int().min(0).describe('To how many addresses of owners and auditors it went.'),
  })
  .meta({ id: 'MailedHead' });
export type MailedHead = z.infer<typeof mailedHeadSchema>;
