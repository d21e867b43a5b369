/** By what an operator is asked whether a statement was reversed, or its certificate revoked, since. */
import type { StatementAttachment } from '#contracts/statement-attachment';
import { standingDigest } from '#domain/evidence/standing-digest';
import { bytesToHex, hexToBytes } from '@noble/hashes/utils';

/** The `digest` of the question, or undefined where a statement gives none. It says neither number nor figure. */
export function standingQuestion({ page, settlementDigest }: Pick<StatementAttachment, 'page' | 'settlementDigest'>): string | undefined {
  if (page.standing === undefined) return undefined;
  const { operatorId, salt } = page.standing;
  return `${operatorId.replaceAll('-', '')}.${bytesToHex(standingDigest({ salt: hexToBytes(salt), settlementDigest: hexToBytes(settlementDigest) }))}`;
}

/** Where a person asks that at the server whose address this is; behind the hash, which a browser sends to no server and no log gets to see. */
export function standingAddress(asked: { readonly server: string; readonly question: string; readonly fingerprint: string | undefined }): string {
  return `${asked.server}/statement-standing#${asked.question}${asked.fingerprint === undefined ? '' : `.${asked.fingerprint}`}`;
}

export type StandingAsked = { readonly digest: string; readonly certificate?: string };

/** What stands behind the hash there; undefined where it is no such question. */
export function readStandingAddress(hash: string): StandingAsked | undefined {
  const [, digest, certificate] = /^#?([0-9a-f]{32}\.[0-9a-f]{64})(?:\.([0-9a-f]{64}))?$/.exec(hash) ?? [];
  if (digest === undefined) return undefined;
  return certificate === undefined ? { digest } : { digest, certificate };
}
