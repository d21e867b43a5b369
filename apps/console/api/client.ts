import { createClient, createConfig } from '../generated/client';
import { sendFor } from './send';

/**
 * The generated client, for one operator or for what belongs to none. Its answers are what the api's description says;
 * a refusal is thrown as a `RequestError`. `asksAgain`: whether an expired session is renewed over the page.
 */
export function clientFor(operatorId: string | null, { asksAgain } = { asksAgain: operatorId !== null }) {
  const client = createClient(createConfig({ baseUrl: window.location.origin, fetch: asFetch(sendFor(operatorId, { asksAgain })) }));
  return { client, throwOnError: true } as const;
}

export type Base = ReturnType<typeof clientFor>;

/** The generated functions hand over a finished `Request`, although `fetch` would take more. */
function asFetch(send: (request: Request) => Promise<Response>): typeof fetch {
  return (input, init) => send(new Request(input, init));
}

/**
 * The key of one thing that the user wants done, however often it is sent: after signing in again, or by hand when no answer
 * came. `useMutation` makes it and keeps it.
 */
export function once(key: string): { headers: { 'Idempotency-Key': string } } {
  return { headers: { 'Idempotency-Key': key } };
}
