import { setTimeout as pause } from 'node:timers/promises';
import { isOutdatedStatement } from './prepared';
import { serverErrorOf, sqlStates } from './server-error';

/** The transaction lost against another one and left nothing behind: run again as a whole, it may win. */
const WORTH_ANOTHER_TRY: readonly string[] = [sqlStates.serializationFailure, sqlStates.deadlockDetected];

const MOST_ATTEMPTS = 6;
const FIRST_PAUSE_MS = 10;
const LONGEST_PAUSE_MS = 500;

/**
 * Repeats a whole transaction, BEGIN to COMMIT, after a serialisation failure, a deadlock or an outdated statement, and
 * after nothing else: a lost connection may have committed. Pauses are random below a doubling bound, so that two that met do not meet again.
 */
export async function withRetries<Value>(
  attempt: () => Promise<Value>,
  onRetry: (retry: { sqlState: string; attempt: number }) => void = () => undefined,
): Promise<Value> {
  for (let attemptNumber = 1; ; attemptNumber += 1) {
    try {
      return await attempt();
    } catch (error) {
      const sqlState = serverErrorOf(error)?.code ?? '';
      const isWorthIt = WORTH_ANOTHER_TRY.includes(sqlState) || isOutdatedStatement(error);
      if (!isWorthIt || attemptNumber >= MOST_ATTEMPTS) throw error;
      onRetry({ sqlState, attempt: attemptNumber });
      await pause(Math.random() * Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** attemptNumber));
    }
  }
}
