import { z } from 'zod';
import { instantSchema, localDateSchema } from './format';

/** What whoever holds a statement may ask of its operator without an account. */
export const standingQuerySchema = z.strictObject({
  digest: z
    .string()
    .regex(/^[0-9a-f]{32}\.[0-9a-f]{64}$/, 'must be the digest that a statement gives for this question')
    .describe('Id of the operator without hyphens, a stop, and SHA-256 over the line "statement standing", the salt in the statement and its settlement digest.'),
  certificate: z
    .string()
    .regex(/^[0-9a-f]{64}$/, 'must be a SHA-256 in hexadecimal')
    .optional()
    .describe('SHA-256 of the certificate in the file, to learn whether that was revoked.'),
});
export type StandingQuery = z.infer<typeof standingQuerySchema>;

export const statementStandingSchema = z
  .strictObject({
    standing: z.enum(['in-force', 'reversed', 'unknown']).describe('`unknown`: no issued statement has this digest.'),
    reversedOn: localDateSchema.nullable().describe('Day at the operator’s office.'),
    certificate: z
      .enum(['not-asked', 'unknown', 'other', 'not-revoked', 'revoked-later', 'revoked-before', 'revoked'])
      .describe(
        '`unknown`: the operator has none with this fingerprint. `other`: the statement was issued under another one. `revoked-later`: the statement was issued before the time from which it is revoked. `revoked-before`: after it. `revoked`: it is revoked, and the statement is unknown.',
      ),
    revokedFrom: instantSchema.nullable(),
  })
  .meta({ id: 'StatementStanding' });
export type StatementStanding = z.infer<typeof statementStandingSchema>;
