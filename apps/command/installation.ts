import { extname, join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { StartConfiguration } from '#runtime/configuration';
import { ensureMasterKeyFile, readMasterKeyFile } from '#runtime/master-key-file';
import { isPortFree } from '#runtime/port';
import { onConnection, openDatabases, type Databases } from './databases';
import { readMasterKeyIds } from './archive/tables';
import { discardHalfSeeded, hasOperators, readDemoSignIns, seedIfEmpty, type DemoSignIn, type SeedDemo } from './demo-data';
import { CommandFailure } from './failure';
import { holdProcess, supervise, type ProcessSpecification } from './supervisor';

export type Installation = {
  readonly url: string;
  readonly logDirectory: string;
  readonly signIns: readonly DemoSignIn[];
  /** Nobody has an account yet. `undefined` where this account may not look. */
  readonly isEmpty: boolean | undefined;
};

export type InstallationOptions = {
  readonly configuration: StartConfiguration;
  /** What the processes inherit beside what is settled here, e.g. LOG_LEVEL or SMTP_URL. */
  readonly environment: Readonly<Record<string, string | undefined>>;
  readonly seedDemo: SeedDemo | undefined;
  readonly log: (message: string) => void;
  /** The installation cannot go on, e.g. because its database was taken away. */
  readonly onLost: (reason: string) => void;
  /** Programs to run; those beside this one when left out. */
  readonly programs?: { readonly api: string; readonly worker: string };
};

/** Starting an api takes about two seconds; a machine that is busy may need many times that. */
const READY_TIMEOUT_MS = 60_000;

const PORT_TIMEOUT_MS = 5_000;

/** Variables that are settled per process below, and secrets of roles that a process is not. */
const NOT_PASSED_ON = /^(DATABASE_|APP_DATABASE_|RELAY_DATABASE_|BACKUP_DATABASE_|MASTER_KEY_FILE$|PG)/;

/**
 * Brings up everything that `npm start` promises, in order: database, master key, tables, demo, processes. Whatever was
 * started is handed to `opened` at once, so that it is closed also when a later step fails or is interrupted.
 */
export async function startInstallation(
  options: InstallationOptions,
  opened: { readonly push: (close: () => Promise<void>) => unknown },
): Promise<Installation> {
  const { configuration, log } = options;
  const { host, port, dataDirectory } = configuration;
  if (readDemoSignIns(dataDirectory).length > 0 && !isLoopback(host)) {
    throw new CommandFailure(`The database in ${dataDirectory} holds the demo, which is for this machine only: unset HOST, or set DATA_DIRECTORY to a new directory.`);
  }
  await untilPortIsFree({ host, port });
  const logDirectory = join(dataDirectory, 'logs');
  // They load while the database comes up.
  const held = options.programs === undefined ? holdProcesses({ options, logDirectory }) : undefined;
  opened.push(async () => void (await Promise.all([held?.api.end(), held?.worker.end()])));
  const databases = await openDatabase(options, opened);
  const { applied } = await databases.migrate();
  if (applied.length > 0) log(`database: ${applied.length} migrations applied`);
  await prepareMasterKey(configuration, databases);
  if (databases.isEmbedded && options.seedDemo && isLoopback(host)) await seed(options.seedDemo, { options, databases });

  const workerPort = await portForWorker(options);
  await startProcesses({ options, databases, logDirectory, workerPort, held }, opened);
  return {
    url: configuration.publicUrl,
    logDirectory,
    signIns: databases.isEmbedded ? readDemoSignIns(configuration.dataDirectory) : [],
    isEmpty: databases.isEmbedded ? !(await hasOperators(databases.superuserUrl())) : undefined,
  };
}

/** Whether nobody but this machine can connect there. */
function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || host.startsWith('127.');
}

/** The processes of a start that was killed close by themselves, but not in the same moment. */
async function untilPortIsFree(place: { host: string; port: number }): Promise<void> {
  for (const deadline = Date.now() + PORT_TIMEOUT_MS; !(await isPortFree(place)); await pause(100)) {
    if (Date.now() < deadline) continue;
    throw new CommandFailure(
      `Port ${place.port} on ${place.host} is taken, by another start of this program or by another program. Stop that one, or set PORT.`,
    );
  }
}

async function openDatabase(options: InstallationOptions, opened: { push: (close: () => Promise<void>) => unknown }): Promise<Databases> {
  const databases = await openDatabases(options.configuration, {
    setsUp: true,
    log: options.log,
    onLost: (reason) => options.onLost(`The database went away: ${reason.message}`),
  });
  opened.push(databases.close);
  const { dataDirectory } = options.configuration;
  if (databases.isEmbedded && (await discardHalfSeeded({ dataDirectory, recreate: databases.recreate }))) {
    options.log('the demo was not written to its end the last time: beginning anew');
  }
  return databases;
}

/**
 * Beside the embedded database a key is made, unless something in it was sealed under one: where books were restored or
 * their key was lost, a new one would hide that what the old one protects cannot be read.
 */
async function prepareMasterKey({ masterKeyFile }: StartConfiguration, databases: Databases): Promise<void> {
  const needed = databases.isEmbedded ? await onConnection(databases.superuserUrl(), readMasterKeyIds) : [];
  if (databases.isEmbedded && needed.length === 0) ensureMasterKeyFile(masterKeyFile);
  const read = readMasterKeyFile(masterKeyFile);
  if (!read.ok) {
    const reason = needed.length > 0 ? ' The database holds secrets that only the key they were sealed under opens: put its file back.' : '';
    throw new CommandFailure(`MASTER_KEY_FILE: ${read.message}${reason}`);
  }
  const lacking = needed.filter((id) => !read.keys.some((key) => key.id === id));
  if (lacking.length > 0) {
    throw new CommandFailure(`${masterKeyFile} lacks the master key ${lacking.join(', ')}, under which secrets in the database were sealed. Add it as a line of that file.`);
  }
}

async function seed(seedDemo: SeedDemo, { options, databases }: { options: InstallationOptions; databases: Databases }): Promise<void> {
  const { dataDirectory, masterKeyFile, publicUrl } = options.configuration;
  await seedIfEmpty(seedDemo, {
    dataDirectory,
    superuserUrl: databases.superuserUrl(),
    appUrl: databases.urlFor('app'),
    masterKeyFile,
    publicUrl,
    log: options.log,
  });
}

/** Beside the api's, unless one is set. Its metrics are no reason to refuse a start, so a taken port leaves them out. */
async function portForWorker({ environment, configuration, log }: InstallationOptions): Promise<string> {
  if (environment['WORKER_PORT']) return environment['WORKER_PORT'];
  const port = configuration.port + 1;
  if (port < 65_536 && (await isPortFree({ host: configuration.host, port }))) return String(port);
  log(`port ${port} is taken: the worker shows no metrics this time`);
  return '0';
}

type ProcessPlace = {
  readonly options: InstallationOptions;
  readonly databases: Databases;
  readonly logDirectory: string;
  readonly workerPort: string;
  readonly held: HeldProcesses | undefined;
};

type HeldProcesses = Readonly<Record<'api' | 'worker', ReturnType<typeof holdProcess>>>;

/** Without secrets: those come with the word to begin. */
function holdProcesses({ options, logDirectory }: Pick<ProcessPlace, 'options' | 'logDirectory'>): HeldProcesses {
  const hold = (name: 'api' | 'worker', modules: readonly string[]) =>
    holdProcess({ script: programOf(options, name), modules, environment: inherited(options), logFile: logFileOf(name, logDirectory) });
  return { api: hold('api', [join(__dirname, '..', 'api', 'application')]), worker: hold('worker', [join(__dirname, '..', 'worker', 'queues')]) };
}

function programOf({ programs }: InstallationOptions, name: 'api' | 'worker'): string {
  return programs?.[name] ?? join(__dirname, '..', name, `main${extname(__filename)}`);
}

const logFileOf = (name: string, logDirectory: string): string => join(logDirectory, `${name}.log`);

function inherited({ environment }: InstallationOptions): ProcessSpecification['environment'] {
  return Object.fromEntries(Object.entries(environment).filter(([name]) => !NOT_PASSED_ON.test(name)));
}

async function startProcesses(
  place: ProcessPlace,
  opened: { push: (close: () => Promise<void>) => unknown },
): Promise<void> {
  const { configuration, log } = place.options;
  const running = specifications(place).map((specification) =>
    supervise(specification, {
      onRestart: ({ name, reason, delayMs }) => log(`${name} ended (${reason}); starting it again in ${delayMs / 1000} s, see ${specification.logFile}`),
    }),
  );
  // All at once: a terminal's Ctrl-C reaches each of them too, and one that ends by itself must not be taken for crashed.
  opened.push(async () => void (await Promise.all(running.map(({ stop }) => stop()))));
  const waiting = new AbortController();
  try {
    await Promise.race([Promise.all(running.map(({ ready }) => ready)), timeIsUp(waiting.signal)]);
  } finally {
    waiting.abort();
  }
  await refuseUnready(configuration);
}

async function timeIsUp(signal: AbortSignal): Promise<never> {
  await pause(READY_TIMEOUT_MS, undefined, { signal });
  throw new CommandFailure(`Api and worker were not up after ${READY_TIMEOUT_MS / 1000} seconds; their logs say why.`);
}

function specifications(place: ProcessPlace): ProcessSpecification[] {
  const { options, held, logDirectory } = place;
  const { configuration, environment } = options;
  const shared = {
    MAIL_DIRECTORY: environment['SMTP_URL'] ? undefined : join(configuration.dataDirectory, 'mail'),
    ...inherited(options),
    MASTER_KEY_FILE: configuration.masterKeyFile,
    APP_DATABASE_URL: place.databases.urlFor('app'),
  };
  const process = (name: 'api' | 'worker', settings: ProcessSpecification['environment']): ProcessSpecification => ({
    name,
    script: programOf(options, name),
    environment: settings,
    logFile: logFileOf(name, logDirectory),
    ...(held && { held: held[name].process }),
  });
  return [
    process('api', shared),
    process('worker', { ...shared, RELAY_DATABASE_URL: place.databases.urlFor('relay'), WORKER_PORT: place.workerPort }),
  ];
}

/** Asks once as a user's browser would: through the port, down to the database. */
async function refuseUnready({ host, port }: StartConfiguration): Promise<void> {
  // All addresses means this machine's own, too.
  const reachable = host === '0.0.0.0' ? '127.0.0.1' : host === '::' ? '[::1]' : host.includes(':') ? `[${host}]` : host;
  const answer = await fetch(`http://${reachable}:${port}/health/ready`, { signal: AbortSignal.timeout(READY_TIMEOUT_MS) });
  await answer.body?.cancel();
  if (!answer.ok) throw new CommandFailure(`The api is up but not ready (status ${answer.status}); its log says why.`);
}
