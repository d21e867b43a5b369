import pino, { type DestinationStream, type Logger } from 'pino';
import { redact } from './redaction';

export type { Logger } from 'pino';

export const LOG_LEVELS = ['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent'] as const;
export type LogLevel = (typeof LOG_LEVELS)[number];

/**
 * One JSON object per line on standard output. Every finished line passes the redaction of redaction.ts, so it does
 * not matter whether something came in by a field, a child logger, an error or a message: secrets never get out, and
 * what belongs to a person or is an amount only below info.
 */
export function createLogger(options: {
  /** Which process writes: api, worker, start ... */
  readonly name: string;
  readonly level: LogLevel;
  readonly destination?: DestinationStream;
}): Logger {
  const destination = options.destination ?? pino.destination(1);
  return pino(
    {
      name: options.name,
      level: options.level,
      base: { pid: process.pid },
      timestamp: pino.stdTimeFunctions.isoTime,
      formatters: { level: (label) => ({ level: label }) },
      serializers: { req: describeRequest, res: describeResponse },
    },
    // Reading a line back costs some ten microseconds, and a process writes a few lines a request.
    { write: (line) => void destination.write(redactLine(line)) },
  );
}

function redactLine(line: string): string {
  const fields = JSON.parse(line) as { level?: string };
  const isForDevelopers = fields.level === 'debug' || fields.level === 'trace';
  return `${JSON.stringify(redact(fields, isForDevelopers ? 'secrets-only' : 'strict'))}\n`;
}

/** The request's line without its headers, which carry cookies and tokens. */
function describeRequest(request: { method?: string; url?: string }): object {
  return { method: request.method, url: request.url };
}

function describeResponse(response: { statusCode?: number }): object {
  return { status: response.statusCode };
}

/**
 * The id that ties the log lines, the audit trail and the answer of one request together: the caller's own, if it is
 * short and harmless in a log line, else a new one.
 */
export function requestIdFrom(header: string | string[] | undefined, newId: () => string): string {
  return typeof header === 'string' && /^[A-Za-z0-9._-]{8,64}$/.test(header) ? header : newId();
}
