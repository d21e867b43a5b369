// Loaded by Jest before the tests, without the package's "src" condition: nothing but Jest's and Node's own modules here.
import { ModernFakeTimers } from '@jest/fake-timers';
import { TestEnvironment } from 'jest-environment-node';
import { ModuleMocker } from 'jest-mock';
import { setFlagsFromString } from 'node:v8';
import { constants, createContext, runInNewContext } from 'node:vm';

type Environment = ConstructorParameters<typeof TestEnvironment>;

/**
 * Jest's environment for Node, with globals of its own for each test file, as before, but plain ones. Jest lays a proxy
 * under the global object, which is asked for every `Math`, `Array` or `Number` that a program names: a hundred times
 * slower than a property, a quarter of the time in which the api loads, and most of it where a test computes.
 */
export default class PlainGlobals extends TestEnvironment {
  constructor(...[config, context]: Environment) {
    clearAwayLeftovers();
    super(config, context);
    const slow = this.global;
    const plain = createContext(constants.DONT_CONTEXTIFY) as typeof slow & typeof globalThis;
    for (const name of Reflect.ownKeys(slow)) {
      if (!Object.hasOwn(plain, name)) Object.defineProperty(plain, name, plainProperty(plain, slow, name));
    }
    for (const name of ['dispose', 'asyncDispose'] as const) {
      if (!(name in plain.Symbol)) Object.defineProperty(plain.Symbol, name, { value: slow.Symbol[name] });
    }
    // The same objects inside and outside, as Node's own modules give and take them.
    Object.assign(plain, { global: plain, Buffer, ArrayBuffer, Uint8Array });
    plain.Error.stackTraceLimit = slow.Error.stackTraceLimit;
    this.global = plain;
    this.context = plain;
    this.moduleMocker = new ModuleMocker(plain);
    this.fakeTimersModern?.dispose();
    this.fakeTimersModern = new ModernFakeTimers({ config: config.projectConfig, global: plain });
    // Those of old belong to the other globals; nothing uses them.
    this.fakeTimers?.dispose();
    this.fakeTimers = null;
  }

  /** Called by Jest. Lets a test file tell more of a failure while things are still as they were, and gives a browser that was slowed down all the time it takes. */
  async handleTestEvent(event: RunnerEvent, state: RunnerState): Promise<void> {
    const { name, test, hook } = event;
    // For checks of what all tests of a file do together; see tests/browser/support/browser.ts.
    const isPart = name === 'run_start' && (state.hasFocusedTests || (state.testNamePattern ?? null) !== null);
    if (isPart || name === 'test_fn_failure' || name === 'hook_failure') Object.assign(this.global, { notAllPassed: true });
    if (isBrowserSlow && (name === 'test_fn_start' || name === 'hook_start')) Object.assign(hook ?? test ?? {}, { timeout: HOUR_MS });
    // The first to set up has the console built and a server started for all: on a busy machine minutes, and no sign that it hangs.
    if (name === 'hook_start' && hook?.type === 'beforeAll') Object.assign(hook, { timeout: QUARTER_HOUR_MS });
    if (name === 'test_fn_failure' || name === 'hook_failure') await this.tell(hook?.type ?? test?.name ?? name);
  }

  private async tell(what: string): Promise<void> {
    const tell = Reflect.get(this.global, 'tellOfFailure') as ((what: string) => Promise<void>) | undefined;
    await tell?.(what);
  }
}

/** The part of what Jest's runner tells that is used here. */
interface RunnerEvent {
  readonly name: string;
  readonly test?: { readonly name: string };
  readonly hook?: { readonly type: string };
}

interface RunnerState {
  readonly hasFocusedTests: boolean;
  readonly testNamePattern?: RegExp | null;
}

const QUARTER_HOUR_MS = 900_000;
const HOUR_MS = 3_600_000;
/** See `tests/browser/support/slow.ts`. */
const isBrowserSlow = process.env['SLOW_BROWSER'] !== undefined || process.env['SLOW_ANSWERS'] !== undefined;

/** Above it what earlier files left is cleared away; what a worker keeps on purpose, compiled modules above all, is less than half. */
const MUCH_BYTES = 500 * 1024 ** 2;

/**
 * Node leaves a gigabyte of what is no longer needed lying, above which Jest replaces the worker; a new one loads and compiles
 * everything anew, which takes ten times as long as clearing away.
 */
function clearAwayLeftovers(): void {
  if (process.memoryUsage().heapUsed < MUCH_BYTES) return;
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  collect();
}

/** What Jest made is taken over; what Node makes when it is first asked for, which only its own global object may ask, stays so. */
function plainProperty(plain: object, slow: object, name: PropertyKey): PropertyDescriptor {
  const outside = name === 'process' ? undefined : Object.getOwnPropertyDescriptor(globalThis, name);
  const { enumerable = false, ...property } = outside ?? Object.getOwnPropertyDescriptor(slow, name) ?? {};
  if (outside?.get === undefined) return { ...property, enumerable, configurable: true };
  const become = (value: unknown): void => void Object.defineProperty(plain, name, { value, enumerable, writable: true, configurable: true });
  return {
    enumerable,
    configurable: true,
    get: () => {
      const value: unknown = Reflect.get(globalThis, name);
      become(value);
      return value;
    },
    set: become,
  };
}
