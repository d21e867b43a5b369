import { RequestError } from './problem';

export type Send = (request: Request) => Promise<Response>;
type Query = Readonly<Record<string, string | number | null | undefined>>;

/** Reads one address; `path` is under /v1. */
export async function read<Answer>(send: Send, path: string, query: Query = {}, signal?: AbortSignal): Promise<Answer> {
  return answer<Answer>(await send(new Request(address(path, query), { signal: signal ?? null })));
}

/**
 * Sends a command. Each call is one intention of the user and gets one key, so that sending it again after signing in
 * again cannot do it twice.
 */
export async function command<Answer>(send: Send, method: 'POST' | 'PUT' | 'DELETE', path: string, body?: object): Promise<Answer> {
  const headers = new Headers({ 'idempotency-key': crypto.randomUUID() });
  if (body !== undefined) headers.set('content-type', 'application/json');
  return answer<Answer>(await send(new Request(address(path, {}), { method, headers, body: body === undefined ? null : JSON.stringify(body) })));
}

/** Fetches a file with the name that the api gives it. */
export async function download(send: Send, path: string): Promise<{ blob: Blob; fileName: string }> {
  const response = await send(new Request(address(path, {})));
  const named = /filename="([^"]+)"/.exec(response.headers.get('content-disposition') ?? '')?.[1];
  return { blob: await response.blob(), fileName: named ?? 'statement.pdf' };
}

function address(path: string, query: Query): string {
  const given = Object.entries(query).flatMap(([name, value]) => (value === null || value === undefined ? [] : [[name, String(value)]]));
  const text = new URLSearchParams(given).toString();
  return new URL(`/v1${path}${text === '' ? '' : `?${text}`}`, window.location.origin).href;
}

async function answer<Answer>(response: Response): Promise<Answer> {
  if (response.status === 204) return undefined as Answer;
  try {
    return (await response.json()) as Answer;
  } catch {
    throw new RequestError({ kind: 'unreadable', status: response.status });
  }
}
