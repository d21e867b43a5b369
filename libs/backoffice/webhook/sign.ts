import { createHmac, randomBytes } from 'node:crypto';

/**
 * Signatures as the Standard Webhooks specification 1.0.0 lays them down (standardwebhooks.com), so that a receiver checks them with a
 * library that exists: HMAC-SHA256 over `id.timestamp.body`, in base64 behind `v1,`; one per secret while a secret is being replaced.
 */

/** It asks for at least 24 bytes. */
const KEY_BYTES = 32;
/** Tells people and secret scanners what it is. */
const PREFIX = 'whsec_';

/** A new secret as its receiver keeps it. */
export function newWebhookSecret(): string {
  return PREFIX + randomBytes(KEY_BYTES).toString('base64');
}

export type Signed = { readonly id: string; readonly sentAt: Date; readonly body: string };

/**
 * The three headers of a request. `secrets`: with their prefix, the newest first. An id and a time in whole seconds hold no full stop, so that no
 * two requests have the same signed text.
 */
export function signatureHeaders({ id, sentAt, body }: Signed, secrets: readonly string[]): { readonly [header: string]: string } {
  const timestamp = String(Math.floor(sentAt.getTime() / 1000));
  const signatures = secrets.map((secret) => {
    const key = Buffer.from(secret.slice(PREFIX.length), 'base64');
    return `v1,${createHmac('sha256', key).update(`${id}.${timestamp}.${body}`, 'utf8').digest('base64')}`;
  });
  return { 'webhook-id': id, 'webhook-timestamp': timestamp, 'webhook-signature': signatures.join(' ') };
}
