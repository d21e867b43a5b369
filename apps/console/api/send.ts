import { locale } from '../format/locale';
import { RequestError, troubleIn } from './problem';
import { askToSignInAgain } from './expired-session';

let csrfToken: string | null = null;

/** The value that the api gives with the session; a page of another origin cannot read it and so cannot repeat it. */
export function rememberCsrfToken(token: string): void {
  csrfToken = token;
}

/**
 * The one way of the console to the api. It names the operator, proves that the request comes from this page, turns a
 * refusal into a {@link RequestError}, and when the session has expired it waits until the user has signed in again
 * over the page and then sends the same request once more: nobody loses what they were doing.
 */
export function sendFor(operatorId: string | null, { asksAgain }: { readonly asksAgain: boolean }): (request: Request) => Promise<Response> {
  return async (request) => {
    const again = request.clone();
    const tokenThen = csrfToken;
    const response = await attempt(request, operatorId);
    if (!asksAgain || !(await hasExpired(response))) return accepted(response, request.signal);
    // An answer that was long on its way is about the session before: whoever has signed in again meanwhile is not asked anew.
    const signedIn = csrfToken !== tokenThen || (await askToSignInAgain());
    return signedIn ? accepted(await attempt(again, operatorId), again.signal) : accepted(response, request.signal);
  };
}

async function attempt(request: Request, operatorId: string | null): Promise<Response> {
  const headers = new Headers(request.headers);
  headers.set('accept', 'application/json');
  // In the language of the page, whatever the browser would ask for.
  headers.set('accept-language', locale);
  if (operatorId !== null) headers.set('latchledger-operator', operatorId);
  // Read at each attempt: signing in again gives another token.
  if (csrfToken !== null && request.method !== 'GET') headers.set('latchledger-csrf', csrfToken);
  try {
    return await fetch(new Request(request, { headers, credentials: 'same-origin' }));
  } catch (error) {
    if (request.signal.aborted) throw error;
    throw new RequestError({ kind: 'unreachable' });
  }
}

/** A wrong password is refused under the same status, and is no expiry. */
async function hasExpired(response: Response): Promise<boolean> {
  if (response.status !== 401) return false;
  const trouble = await troubleIn(response.clone());
  return trouble.kind !== 'refused' || trouble.problem.code !== 'sign-in-refused';
}

/** The answer once all of it is here, or the trouble: one that is cut off on its way is no answer, and a page of a proxy none of the api. */
async function accepted(response: Response, signal: AbortSignal): Promise<Response> {
  if (!response.ok) throw new RequestError(await troubleIn(response));
  const { status, headers } = response;
  if (status === 204) return response;
  const body = await response.blob().catch((error: unknown) => {
    if (signal.aborted) throw error;
    throw new RequestError({ kind: 'unreachable' });
  });
  if (!(await isOfApi(body, headers.get('content-type') ?? ''))) throw new RequestError({ kind: 'unreadable', status });
  return new Response(body, { status, headers });
}

async function isOfApi(body: Blob, type: string): Promise<boolean> {
  if (!type.includes('json')) return !type.includes('html');
  try {
    JSON.parse(await body.text());
    return true;
  } catch {
    return false;
  }
}
