import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { CONNECTION_BUDGET } from './connection-budget';
import type { LogLevel } from './logging';
import { isProgram } from './signing-command';
import type { Network } from './public-address';
import { readCertificates, type ConfiguredAuthority, type TimestampTrust } from './timestamp-authority';
import { VARIABLES, type Variable, type VariableName, type VariableValue } from './variables';

/** One wrong or missing variable: its name, and a sentence with what to put. Never holds a secret value. */
export type ConfigurationProblem = { readonly variable: string; readonly message: string };

export type ReadConfiguration<Value> =
  | { readonly ok: true; readonly value: Value }
  | { readonly ok: false; readonly problems: readonly ConfigurationProblem[] };

export type Mail =
  /** Messages are written as files: for trying out, and for who collects them from there. */
  | { readonly kind: 'directory'; readonly directory: string }
  | { readonly kind: 'smtp'; readonly url: string; readonly from: string };

/** What every process of a running installation knows. */
type ProcessConfiguration = {
  readonly logLevel: LogLevel;
  readonly host: string;
  /** Address that people type, without a slash at the end; links in mails begin with it. */
  readonly publicUrl: string;
  /** Role app. */
  readonly databaseUrl: string;
  readonly masterKeyFile: string;
  readonly redisUrl: string | undefined;
  readonly mail: Mail;
  /** Program that signs with keys kept elsewhere. */
  readonly signingCommand: string | undefined;
  /** Stamps the heads of evidence logs, and the statements of operators that want it. */
  readonly timestampAuthority: ConfiguredAuthority;
  /** Networks that webhooks may reach though they are not public. */
  readonly webhookNetworks: readonly Network[];
};

export type ApiConfiguration = ProcessConfiguration & {
  readonly port: number;
  /** How many proxies of our own stand before the process; the client's address is taken from behind them. */
  readonly trustedProxies: number;
  /** Opens /metrics to other machines. */
  readonly metricsToken: string | undefined;
  readonly requestsPerMinute: number;
  readonly guessesPerMinute: number;
  readonly costlyPerMinute: number;
  readonly databasePoolSize: number;
};

export type WorkerConfiguration = ProcessConfiguration & {
  /** Role relay. */
  readonly relayDatabaseUrl: string;
  /** Port of health and metrics; 0 for none. */
  readonly port: number;
  readonly databasePoolSize: number;
};

/** What commands know that prepare, start or copy an installation. */
export type CommandConfiguration = {
  readonly logLevel: LogLevel;
  readonly host: string;
  readonly port: number;
  readonly publicUrl: string;
  /** Absolute path: embedded database, keys, mails. */
  readonly dataDirectory: string;
  readonly database:
    | { readonly kind: 'embedded' }
    /** `url`: role owner, or an administrator who may create the other roles. */
    | { readonly kind: 'server'; readonly url: string };
  /** Connection strings that were given for single roles. */
  readonly roleUrls: { readonly app?: string; readonly relay?: string; readonly backup?: string };
  readonly redisUrl: string | undefined;
  readonly timestampTrust: TimestampTrust;
};

export type StartConfiguration = CommandConfiguration & {
  /** Absolute path. Beside the embedded database it is made on the first start; for a server it has to exist. */
  readonly masterKeyFile: string;
};

type Environment = Readonly<Record<string, string | undefined>>;

export function readApiConfiguration(environment: Environment): ReadConfiguration<ApiConfiguration> {
  return collect(environment, (read) => ({
    ...readProcess(read),
    port: read.optional('PORT') ?? 4800,
    trustedProxies: read.optional('TRUSTED_PROXIES') ?? 0,
    metricsToken: read.optional('METRICS_TOKEN'),
    requestsPerMinute: read.optional('REQUESTS_PER_MINUTE') ?? 600,
    guessesPerMinute: read.optional('GUESSES_PER_MINUTE') ?? 20,
    costlyPerMinute: read.optional('COSTLY_REQUESTS_PER_MINUTE') ?? 30,
    databasePoolSize: read.optional('API_POOL_SIZE') ?? CONNECTION_BUDGET.api,
  }));
}

export function readWorkerConfiguration(environment: Environment): ReadConfiguration<WorkerConfiguration> {
  return collect(environment, (read) => ({
    ...readProcess(read),
    relayDatabaseUrl: read.required('RELAY_DATABASE_URL'),
    port: read.optional('WORKER_PORT') ?? 4801,
    databasePoolSize: read.optional('WORKER_POOL_SIZE') ?? CONNECTION_BUDGET.worker,
  }));
}

export function readCommandConfiguration(environment: Environment): ReadConfiguration<CommandConfiguration> {
  return collect(environment, readCommand);
}

export function readStartConfiguration(environment: Environment): ReadConfiguration<StartConfiguration> {
  return collect(environment, (read) => {
    const command = readCommand(read);
    // A key that a server made in passing would be lost with its container, and every signing key with it.
    const masterKeyFile =
      command.database.kind === 'server'
        ? read.required('MASTER_KEY_FILE')
        : (read.optional('MASTER_KEY_FILE') ?? join(command.dataDirectory, 'keys', 'master.key'));
    return { ...command, masterKeyFile: resolve(masterKeyFile ?? '') };
  });
}

function readCommand(read: Reader): CommandConfiguration {
  const url = read.optional('DATABASE_URL');
  const [app, relay, backup] = [
    read.optional('APP_DATABASE_URL'),
    read.optional('RELAY_DATABASE_URL'),
    read.optional('BACKUP_DATABASE_URL'),
  ];
  return {
    ...readAddress(read),
    port: read.optional('PORT') ?? 4800,
    dataDirectory: resolve(read.optional('DATA_DIRECTORY') ?? 'data'),
    database: url === undefined ? { kind: 'embedded' } : { kind: 'server', url },
    roleUrls: { ...(app && { app }), ...(relay && { relay }), ...(backup && { backup }) },
    redisUrl: read.optional('REDIS_URL'),
    timestampTrust: readTimestampTrust(read),
  };
}

function readTimestampAuthority(read: Reader): ConfiguredAuthority {
  const [url, trust] = [read.optional('TIMESTAMP_AUTHORITY_URL'), readTimestampTrust(read)];
  return url === undefined ? undefined : { url, trust };
}

function readTimestampTrust(read: Reader): TimestampTrust {
  const [file, policy] = [read.optional('TIMESTAMP_AUTHORITY_CERTIFICATES'), read.optional('TIMESTAMP_AUTHORITY_POLICY')];
  const certificates = file === undefined ? ({ ok: true, certificates: [] } as const) : readCertificates(file);
  if (!certificates.ok) read.problem('TIMESTAMP_AUTHORITY_CERTIFICATES', certificates.message);
  return { anchors: certificates.ok ? certificates.certificates : [], ...(policy === undefined ? {} : { policy }) };
}

function readAddress(read: Reader): { logLevel: LogLevel; host: string; publicUrl: string } {
  const host = read.optional('HOST') ?? '127.0.0.1';
  return {
    logLevel: read.optional('LOG_LEVEL') ?? 'info',
    host,
    publicUrl: read.optional('PUBLIC_URL') ?? `http://${host.includes(':') ? `[${host}]` : host}:${read.optional('PORT') ?? 4800}`,
  };
}

function readProcess(read: Reader): ProcessConfiguration {
  return {
    ...readAddress(read),
    databaseUrl: read.required('APP_DATABASE_URL'),
    masterKeyFile: read.required('MASTER_KEY_FILE'),
    redisUrl: read.optional('REDIS_URL'),
    mail: readMail(read),
    signingCommand: readSigningCommand(read),
    timestampAuthority: readTimestampAuthority(read),
    webhookNetworks: read.optional('WEBHOOK_NETWORKS') ?? [],
  };
}

function readSigningCommand(read: Reader): string | undefined {
  const path = read.optional('SIGNING_COMMAND');
  if (path !== undefined && !isProgram(path)) read.problem('SIGNING_COMMAND', `names ${path}, which this process may not run.`);
  return path;
}

function readMail(read: Reader): Mail {
  const url = read.optional('SMTP_URL');
  const directory = read.optional('MAIL_DIRECTORY');
  if (url === undefined) return { kind: 'directory', directory: resolve(directory ?? 'data/mail') };
  if (directory !== undefined) read.problem('MAIL_DIRECTORY', 'must be left out when SMTP_URL is set: mails go one way.');
  return { kind: 'smtp', url, from: read.required('MAIL_FROM') };
}

type Reader = {
  readonly optional: <Name extends VariableName>(name: Name) => VariableValue<Name> | undefined;
  readonly required: <Name extends VariableName>(name: Name) => VariableValue<Name>;
  readonly problem: (variable: string, message: string) => void;
};

/** Reads everything before it answers, so that all wrong values are named at once. */
function collect<Value>(environment: Environment, build: (read: Reader) => Value): ReadConfiguration<Value> {
  const problems = new Map<string, string>();
  const optional = <Name extends VariableName>(name: Name): VariableValue<Name> | undefined => {
    const { schema, expected, isSecret, passwordFile }: Variable = VARIABLES[name];
    // An empty value is how compose files and shells pass on a variable that is not set.
    const text = environment[name] || undefined;
    if (text === undefined) return undefined;
    const parsed = schema.safeParse(text.trim());
    if (!parsed.success) {
      problems.set(name, `must be ${expected}${isSecret ? '' : `; it is "${text}"`}.`);
      return undefined;
    }
    const value = passwordFile === undefined ? parsed.data : withPassword(parsed.data as string, passwordFile);
    return value as VariableValue<Name>;
  };
  const withPassword = (url: string, variable: string): string => {
    const file = environment[variable] || undefined;
    if (file === undefined) return url;
    const read = readPassword(file);
    if (!read.ok) problems.set(variable, read.message);
    return read.ok ? insertPassword({ url, password: read.password }) : url;
  };
  const value = build({
    optional,
    required: <Name extends VariableName>(name: Name) => {
      const found = optional(name);
      if (found === undefined && !problems.has(name)) problems.set(name, `is missing: set it to ${VARIABLES[name].expected}.`);
      // Stands in until the problem is reported below; a value with problems is never handed out.
      return found as VariableValue<Name>;
    },
    problem: (variable, message) => problems.set(variable, message),
  });
  if (problems.size === 0) return { ok: true, value };
  return { ok: false, problems: [...problems].map(([variable, message]) => ({ variable, message })) };
}

function readPassword(file: string): { ok: true; password: string } | { ok: false; message: string } {
  try {
    const password = readFileSync(file, 'utf8').trim();
    return password === '' ? { ok: false, message: `names ${file}, which is empty.` } : { ok: true, password };
  } catch (error) {
    return { ok: false, message: `names a file that cannot be read: ${(error as Error).message}.` };
  }
}

function insertPassword({ url, password }: { url: string; password: string }): string {
  const parsed = new URL(url);
  parsed.password = encodeURIComponent(password);
  return parsed.toString();
}

/** For the terminal: one line per problem. */
export function describeProblems(problems: readonly ConfigurationProblem[]): string {
  return problems.map(({ variable, message }) => `${variable} ${message}`).join('\n');
}
