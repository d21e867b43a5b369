import { fork, type ChildProcess } from 'node:child_process';
import { closeSync, mkdirSync, openSync, readFileSync, renameSync, statSync } from 'node:fs';
import { dirname, extname, join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { READY_MESSAGE } from '#runtime/lifecycle';
import { CommandFailure } from './failure';
import type { BeginMessage } from './held';

export type ProcessSpecification = {
  readonly name: string;
  /** Program file, run by this same Node with the same flags. */
  readonly script: string;
  /** The whole environment of the process: it is given what it needs and no other process's secrets. */
  readonly environment: Readonly<Record<string, string | undefined>>;
  /** What it prints goes here. */
  readonly logFile: string;
  readonly nodeFlags?: readonly string[];
  /** A process that {@link holdProcess} made for this program: it is the first one that is run. */
  readonly held?: ChildProcess;
};

export type Supervised = {
  readonly name: string;
  /** Resolves when the process has said that it is up; rejects when it ended before that, with what it printed. */
  readonly ready: Promise<void>;
  /** Asks it to close, waits, and kills what does not. */
  readonly stop: () => Promise<void>;
  readonly pid: () => number | undefined;
};

const STOP_TIMEOUT_MS = 25_000;
const FIRST_RESTART_MS = 500;
const LONGEST_RESTART_MS = 30_000;
/** Whoever ran this long is no victim of a fault that comes back at once. */
const HEALTHY_AFTER_MS = 60_000;
const LOG_KEPT_BYTES = 20_000_000;

/**
 * Keeps one process running. It has a channel to us, so that it notices our end even by kill -9 and closes by itself.
 * After a crash it is started again, each time with twice the pause; a process that never became ready is not, because
 * what keeps it from starting is most likely there the next time, too.
 */
export function supervise(
  specification: ProcessSpecification,
  events: { readonly onRestart: (restart: { name: string; reason: string; delayMs: number }) => void },
): Supervised {
  let { held } = specification;
  let child: ChildProcess | undefined;
  let isReady = false;
  let isStopping = false;
  let crashes = 0;
  let settle: { resolve: () => void; reject: (failure: CommandFailure) => void } | undefined;
  const ready = new Promise<void>((resolve, reject) => (settle = { resolve, reject }));
  // Whoever does not wait for it is not to be ended by it.
  ready.catch(() => undefined);
  const wakeUp = new AbortController();

  const run = (): void => {
    const startedAt = Date.now();
    const started = held?.connected ? begin(held, specification) : spawnProcess(specification);
    held = undefined;
    child = started;
    started.on('message', (message) => {
      if ((message as { kind?: unknown } | null)?.kind !== READY_MESSAGE.kind) return;
      isReady = true;
      settle?.resolve();
    });
    started.once('exit', (status, signal) => {
      child = undefined;
      if (isStopping) return;
      const reason = signal ?? `exit status ${status}`;
      if (!isReady) {
        settle?.reject(new CommandFailure(`The ${specification.name} did not start: ${reason}: ${endOf(specification.logFile)}`));
        return;
      }
      crashes = Date.now() - startedAt > HEALTHY_AFTER_MS ? 0 : crashes + 1;
      const delayMs = Math.min(FIRST_RESTART_MS * 2 ** crashes, LONGEST_RESTART_MS);
      events.onRestart({ name: specification.name, reason, delayMs });
      pause(delayMs, undefined, { signal: wakeUp.signal }).then(run, () => undefined);
    });
  };
  run();

  return {
    name: specification.name,
    ready,
    stop: async () => {
      isStopping = true;
      wakeUp.abort();
      if (child) await end(child);
    },
    pid: () => child?.pid,
  };
}

/**
 * A process that loads `modules` and waits for {@link supervise} to begin the program. It ends with us, and by `end`.
 */
export function holdProcess(specification: Omit<ProcessSpecification, 'name' | 'held'> & { readonly modules: readonly string[] }): {
  readonly process: ChildProcess;
  readonly end: () => Promise<void>;
} {
  const { script, modules, environment, logFile, nodeFlags } = specification;
  const child = forkInto(logFile, { program: join(__dirname, `held${extname(__filename)}`), parameters: [script, ...modules], environment, nodeFlags });
  return { process: child, end: () => end(child) };
}

function begin(held: ChildProcess, { environment }: ProcessSpecification): ChildProcess {
  const given = Object.entries(environment).filter((entry): entry is [string, string] => entry[1] !== undefined);
  held.send({ environment: Object.fromEntries(given) } satisfies BeginMessage);
  return held;
}

function spawnProcess({ script, environment, logFile, nodeFlags }: ProcessSpecification): ChildProcess {
  return forkInto(logFile, { program: script, parameters: [], environment, nodeFlags });
}

type Forked = { program: string; parameters: readonly string[]; environment: ProcessSpecification['environment']; nodeFlags?: readonly string[] | undefined };

function forkInto(logFile: string, { program, parameters, environment, nodeFlags }: Forked): ChildProcess {
  mkdirSync(dirname(logFile), { recursive: true });
  if ((statSync(logFile, { throwIfNoEntry: false })?.size ?? 0) > LOG_KEPT_BYTES) renameSync(logFile, `${logFile}.before`);
  const log = openSync(logFile, 'a', 0o600);
  const child = fork(program, parameters, {
    env: { ...environment },
    stdio: ['ignore', log, log, 'ipc'],
    ...(nodeFlags && { execArgv: [...nodeFlags] }),
  });
  closeSync(log);
  // A process that cannot be told something is one that is ending; its exit says so.
  child.on('error', () => undefined);
  return child;
}

async function end(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  child.kill('SIGTERM');
  const timer = setTimeout(() => child.kill('SIGKILL'), STOP_TIMEOUT_MS);
  await gone;
  clearTimeout(timer);
}

/** The last lines it printed, for whoever sits before the terminal. */
function endOf(logFile: string): string {
  return readFileSync(logFile, 'utf8').trimEnd().split('\n').slice(-8).join('\n');
}
