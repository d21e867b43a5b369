import { describeProblems, type ReadConfiguration } from './configuration';
import type { Logger } from './logging';

/** Exit status of a process that was configured wrongly (EX_CONFIG of BSD's sysexits.h): starting it again is of no use. */
export const CONFIGURATION_EXIT_STATUS = 78;

/** Sent to whoever started us with a channel, once we are up. */
export const READY_MESSAGE = { kind: 'ready' } as const;

/** Longer than a request or a job step may take; whoever supervises us kills after some more. */
const CLOSE_TIMEOUT_MS = 20_000;

/** The value, or the end of this process with every problem on standard error. */
export function configurationOrExit<Value>(read: ReadConfiguration<Value>): Value {
  if (read.ok) return read.value;
  process.stderr.write(`${describeProblems(read.problems)}\n`);
  process.exit(CONFIGURATION_EXIT_STATUS);
}

export type Running = {
  /** Stops taking work, finishes what is under way and lets go of everything. */
  readonly close: () => Promise<void>;
};

/**
 * Runs a server process: starts it, and closes it on SIGTERM, on Ctrl-C, and when the process that started it is gone,
 * however that ended (its channel closes even after kill -9). An error that nobody caught ends the process, because
 * nothing can be said about its state any more; its supervisor starts a new one.
 */
export function runProcess(options: { readonly logger: Logger; readonly start: () => Promise<Running> }): void {
  const { logger } = options;
  let ending: Promise<void> | undefined;
  // Begun only after the handlers below are there: a signal that comes between would end the process without closing.
  const starting = Promise.resolve().then(options.start);

  const end = (status: number, reason: string): void => {
    ending ??= close(status, reason);
  };
  const close = async (status: number, reason: string): Promise<void> => {
    logger.info({ reason }, 'closing');
    setTimeout(() => process.exit(1), CLOSE_TIMEOUT_MS).unref();
    let exitStatus = status;
    try {
      await (await starting).close();
    } catch (error) {
      exitStatus = 1;
      logger.error({ err: error }, 'did not close cleanly');
    }
    process.exit(exitStatus);
  };

  process.on('SIGTERM', () => end(0, 'SIGTERM'));
  // Ctrl-C reaches a whole process group; a process with a supervisor waits to be told by it.
  process.on('SIGINT', () => process.connected || end(0, 'SIGINT'));
  process.on('disconnect', () => end(0, 'the supervisor is gone'));
  process.on('uncaughtException', (error) => {
    logger.fatal({ err: error }, 'uncaught');
    end(1, 'an uncaught error');
  });
  starting.then(
    () => {
      logger.info('started');
      process.send?.(READY_MESSAGE);
    },
    (error: unknown) => {
      logger.fatal({ err: error }, 'did not start');
      process.exit(1);
    },
  );
}
