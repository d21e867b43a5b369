import { createHmac } from 'node:crypto';
import fc from 'fast-check';
import { newWebhookSecret, signatureHeaders } from './sign';

/** The libraries of the Standard Webhooks specification, github.com/standard-webhooks/standard-webhooks, libraries/javascript/src/webhook.test.ts, "sign function works". */
const published = {
  secret: 'whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw',
  id: 'msg_p5jXN8AQM9LWM0D4loKWxJek',
  sentAt: new Date(1_614_265_330_000),
  body: '{"test": 2432232314}',
  signature: 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
};

it('signs as the published libraries do', () => {
  expect(signatureHeaders(published, [published.secret])).toEqual({ 'webhook-id': published.id, 'webhook-timestamp': '1614265330', 'webhook-signature': published.signature });
});

it('signs under each secret while one is being replaced, the parts of a second cut off', () => {
  const replaced = newWebhookSecret();
  const { 'webhook-signature': both } = signatureHeaders({ ...published, sentAt: new Date(1_614_265_330_999) }, [replaced, published.secret]);
  expect(both?.split(' ')).toEqual([expect.stringMatching(/^v1,[A-Za-z0-9+/]{43}=$/), published.signature]);
});

it('makes secrets of 32 bytes in base64, each another one', () => {
  const secrets = Array.from({ length: 50 }, newWebhookSecret);
  for (const secret of secrets) expect(Buffer.from(secret.replace(/^whsec_/, ''), 'base64')).toHaveLength(32);
  expect(new Set(secrets).size).toBe(secrets.length);
});

/** As a receiver checks it, in the steps of the specification. */
function fits(headers: { readonly [header: string]: string }, body: string, secret: string): boolean {
  const key = Buffer.from(secret.replace('whsec_', ''), 'base64');
  const expected = createHmac('sha256', key).update(Buffer.from([headers['webhook-id'], headers['webhook-timestamp'], body].join('.'), 'utf8')).digest('base64');
  return (headers['webhook-signature'] ?? '').split(' ').some((part) => part === `v1,${expected}`);
}

it('fits for whoever has one of the secrets and the very bytes, and for nobody else', () => {
  fc.assert(
    fc.property(fc.uuid(), fc.date({ min: new Date(0), max: new Date('2100-01-01'), noInvalidDate: true }), fc.json(), fc.integer({ min: 1, max: 3 }), fc.string({ minLength: 1 }), (id, sentAt, body, count, more) => {
      const secrets = Array.from({ length: count }, newWebhookSecret);
      const headers = signatureHeaders({ id, sentAt, body }, secrets);
      for (const secret of secrets) {
        expect(fits(headers, body, secret)).toBe(true);
        expect(fits(headers, body + more, secret)).toBe(false);
        expect(fits({ ...headers, 'webhook-id': `${id}a` }, body, secret)).toBe(false);
        expect(fits({ ...headers, 'webhook-timestamp': String(Number(headers['webhook-timestamp']) + 1) }, body, secret)).toBe(false);
      }
      expect(fits(headers, body, newWebhookSecret())).toBe(false);
    }),
    { numRuns: 200 },
  );
});
