import type { Backoffice } from '#backoffice/dependencies';
import type { WebhookReach } from '#backoffice/webhook/to-webhook';
import type { Metrics } from '#runtime/metrics';
import type { FastifyBaseLogger } from 'fastify';

/** Everything the HTTP process is given. It reads no environment of its own, so a test can start one beside another. */
export type ApiOptions = {
  readonly backoffice: Backoffice;
  readonly logger: FastifyBaseLogger;
  /** Digests under keys by which the body of a repeated request is known again: the one to keep first. */
  readonly digestsOf: (body: string) => readonly [Uint8Array, ...Uint8Array[]];
  /** Where browsers reach the program, e.g. `https://ledger.example`; decides about secure cookies and foreign origins. */
  readonly publicOrigin: string;
  /** How many proxies of our own stand before the process; the client's address is taken from behind them. */
  readonly trustedProxies: number;
  /** Folder with the built console, or `null` to serve none. */
  readonly consoleDirectory: string | null;
  readonly metrics: Metrics;
  /** Bearer token that opens /metrics to other machines; without one only this machine may read them. */
  readonly metricsToken: string | null;
  /** Whether everything needed to serve a request answers; asked by /health/ready. */
  readonly isReady: () => Promise<boolean>;
  /** Requests a minute that one client address may make. */
  readonly requestsPerMinute: number;
  /** Requests a minute that one client address may make where secrets could be guessed. */
  readonly guessesPerMinute: number;
  /** Requests a minute that one client address may make where each reckons for long. */
  readonly costlyPerMinute: number;
  /** What is said of the address of a webhook before anything is sent to it. */
  readonly whyUnreachable: WebhookReach['whyUnreachable'];
  /** Reports a minute that one machine token may make, from wherever. */
  readonly reportsPerMinute: number;
};

/** Nest's name for the options and for the use cases' dependencies. */
export const API_OPTIONS = Symbol('api options');
export const BACKOFFICE = Symbol('backoffice');

/** Whether browsers reach the program by https, which decides about the session cookie. */
export function isSecure(options: Pick<ApiOptions, 'publicOrigin'>): boolean {
  return options.publicOrigin.startsWith('https:');
}
