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
export function sendFor(operatorId: string | null): (request: Request) => Promise<Response> {
  return async (request) => {
    const again = request.clone();
    const tokenThen = csrfToken;
    const response = await attempt(request, operatorId);
    if (response.status !== 401 || operatorId === null) return accepted(response);
    // An answer that was long on its way is about the session before: whoever has signed in again meanwhile is not asked anew.
    const signedIn = csrfToken !== tokenThen || (await askToSignInAgain());
    return signedIn ? accepted(await attempt(again, operatorId)) : accepted(response);
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

async function accepted(response: Response): Promise<Response> {
  if (response.ok) return response;
  throw new RequestError(await troubleIn(response));
}
