/**
 * Requests that found the session expired wait here, all for one answer: the dialog over the page that lets the user
 * sign in again.
 */
type Listener = () => void;

let waiting: { readonly promise: Promise<boolean>; readonly settle: (signedIn: boolean) => void } | null = null;
const listeners = new Set<Listener>();

/** Resolves to true once the user has signed in again, to false when they would rather leave. */
export function askToSignInAgain(): Promise<boolean> {
  if (waiting === null) {
    const { promise, settle } = deferred();
    waiting = { promise, settle };
    notify();
  }
  return waiting.promise;
}

export function answerSignInAgain(signedIn: boolean): void {
  const { settle } = waiting ?? {};
  waiting = null;
  settle?.(signedIn);
  notify();
}

export function isWaitingForSignIn(): boolean {
  return waiting !== null;
}

/** For `useSyncExternalStore`. */
export function onWaitingChange(listener: Listener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function notify(): void {
  for (const listener of listeners) listener();
}

function deferred(): { promise: Promise<boolean>; settle: (signedIn: boolean) => void } {
  let settle: (signedIn: boolean) => void = () => undefined;
  const promise = new Promise<boolean>((resolve) => {
    settle = resolve;
  });
  return { promise, settle };
}
