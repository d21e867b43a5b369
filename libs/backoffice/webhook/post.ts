/** Why a request got no answer. Kept with the attempt and told in plain words on screen. */
export const webhookFailures = ['address-not-allowed', 'name-unknown', 'not-reached', 'certificate-refused', 'timed-out', 'broken-off'] as const;
export type WebhookFailure = (typeof webhookFailures)[number];

export type WebhookRequest = { readonly url: string; readonly headers: { readonly [header: string]: string }; readonly body: string };

export type WebhookAnswer =
  /** `text`: first bytes of the body; `retryAfter`: the header as it came. */
  | { readonly kind: 'answered'; readonly status: number; readonly text: string; readonly retryAfter: string | undefined }
  | { readonly kind: 'not-answered'; readonly failure: WebhookFailure };

/** Sends one request and waits for its answer, for a limited time. Never rejects because of the receiver. */
export type PostWebhook = (request: WebhookRequest) => Promise<WebhookAnswer>;

/** RFC 9110 section 15.3. */
export function isTaken(answer: WebhookAnswer): boolean {
  return answer.kind === 'answered' && answer.status >= 200 && answer.status < 300;
}

const LONGEST_KEPT = 300;

/**
 * What is kept of an answer, to see why it was no: its first characters in print, without what a receiver that echoes requests could give away.
 */
export function keptAnswer(text: string): string {
  const legible = text.replaceAll(/whsec_[A-Za-z0-9+/=]+|v1a?,[A-Za-z0-9+/=]+/g, '...').replaceAll(/\p{C}+/gu, ' ').trim();
  // By characters: half of one is none that can be stored.
  return [...legible].slice(0, LONGEST_KEPT).join('');
}
