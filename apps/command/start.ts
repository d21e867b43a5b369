import { existsSync, readFileSync } from 'node:fs';
import { relative } from 'node:path';
import { readStartConfiguration } from '#runtime/configuration';
import { configurationOrExit } from '#runtime/lifecycle';
import { seedDemo } from './demo/seed';
import { CommandFailure, runCommand, say } from './failure';
import { startInstallation, type Installation } from './installation';

const USAGE = `npm start

Starts everything on this machine and stops it at Ctrl-C. Settings come from the environment, among them:
  PORT            where to listen, 4800 when left out
  DATA_DIRECTORY  where the embedded database, keys and logs are, data when left out
  DATABASE_URL    a PostgreSQL server instead of the embedded one (then MASTER_KEY_FILE is needed)
  REDIS_URL       a Redis server for the queue`;

/**
 * `npm start`: everything on this machine, until Ctrl-C. What an earlier start that was killed has left behind is used
 * again or cleared away by the next one.
 */
runCommand(async () => {
  const configuration = configurationOrExit(readStartConfiguration(process.env));
  const toClose: (() => Promise<void>)[] = [];
  const end = requestedEnd();
  try {
    const starting = startInstallation(
      {
        configuration,
        environment: process.env,
        seedDemo,
        log: (message) => say(`  ${message}`),
        onLost: end.fail,
      },
      toClose,
    );
    const installation = await Promise.race([starting, end.requested]);
    if (installation) announce(installation);
    await end.requested;
    say('\nStopping ...');
  } finally {
    for (const close of toClose.reverse()) await close();
  }
  say('Stopped. The next start keeps the data.');
}, USAGE);

/** The first Ctrl-C ends in order; a second one at once, which the next start can deal with. */
function requestedEnd(): { requested: Promise<undefined>; fail: (reason: string) => void } {
  let fail: (reason: string) => void = () => undefined;
  const requested = new Promise<undefined>((resolve, reject) => {
    fail = (reason) => reject(new CommandFailure(reason));
    let requests = 0;
    const request = (): void => {
      requests += 1;
      if (requests > 1) process.exit(130);
      resolve(undefined);
    };
    process.on('SIGINT', request);
    process.on('SIGTERM', request);
    // A terminal that is closed.
    process.on('SIGHUP', request);
    onParentGone(request);
  });
  requested.catch(() => undefined);
  return { requested, fail };
}

/** npm that is killed outright leaves its script running, and nobody would know what holds the port. */
function onParentGone(request: () => void): void {
  if (process.env['npm_lifecycle_event'] === undefined) return;
  const before = ancestors();
  const timer = setInterval(() => {
    if (ancestors() === before) return;
    clearInterval(timer);
    request();
  }, 500);
  timer.unref();
}

/** Whoever started us and, where the system tells, whoever started that: npm runs its scripts in a shell in between. */
function ancestors(): string {
  const statusFile = `/proc/${process.ppid}/status`;
  const grandparent = existsSync(statusFile) ? /^PPid:\s*(\d+)/m.exec(readFileSync(statusFile, 'utf8'))?.[1] : undefined;
  return `${process.ppid} ${grandparent ?? ''}`;
}

function announce({ url, logDirectory, signIns, isEmpty }: Installation): void {
  say(`\nLatchledger runs at ${url}\n`);
  if (signIns.length > 0) {
    say('Sign in to the demo (invented operators; the passwords are made up for this installation):\n');
    const width = (of: (signIn: (typeof signIns)[number]) => string): number => Math.max(...signIns.map((signIn) => of(signIn).length));
    const [operators, roles, emails] = [width((each) => each.operator), width((each) => each.role), width((each) => each.email)];
    for (const { operator, role, email, password } of signIns) {
      say(`  ${operator.padEnd(operators)}  ${role.padEnd(roles)}  ${email.padEnd(emails)}  ${password}`);
    }
    say('');
  } else if (isEmpty) {
    say('There is no operator yet. In another terminal: npm run operator:create\n');
  }
  say(`Logs are in ${relative(process.cwd(), logDirectory) || '.'}. Stop with Ctrl-C.`);
}
